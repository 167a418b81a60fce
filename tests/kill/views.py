"""One acknowledged write: the product's own service, and a job whose effect can be counted."""

from __future__ import annotations

from zlib import crc32

from django.core.files.base import ContentFile
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.views.decorators.csrf import csrf_exempt

from analysis.jobs.queue import enqueue
from courses.models import Score, User
from courses.services.library import upload_version
from submissions.models import Paper
from submissions.services.checks import ask_check
from submissions.services.observations import latest, save_statement
from tests.kill.work import KLASSES, score_file


@csrf_exempt
def upload(request: HttpRequest, student: int, key: str) -> HttpResponse:
    """A score taken in by the product's own service, and its gate job with it."""
    score = Score.objects.get(title=f"Movement of {student}")
    file = ContentFile(score_file(key), name=f"{key}.musicxml")
    version = upload_version(score=score, by=score.tutor, file=file)
    return HttpResponse(str(version.public_id), status=201)


@csrf_exempt
@transaction.atomic
def say(request: HttpRequest, student: int, key: str) -> HttpResponse:
    """A statement handed in: kept and queued for its check in one transaction."""
    person = User.objects.get(pk=student)
    paper = Paper.objects.get(student=person)
    observation = save_statement(
        paper=paper,
        student=person,
        client_key=key,
        values={"kind": "free", "claim": {"about": key}, "words": f"said {key}"},
    )
    if observation.state != "handed-in":
        observation.state = "handed-in"
        observation.save(update_fields=["state"])
        ask_check(latest(observation))
    enqueue(
        "kill-effect",
        key=f"kill-effect:{key}",
        payload={"key": key},
        klass=KLASSES[crc32(key.encode()) % len(KLASSES)],
        tutor=paper.assignment.course.tutor,
    )
    return HttpResponse(str(observation.public_id), status=201)
