"""Uploads and what becomes of them."""

from __future__ import annotations

import hashlib
import unicodedata
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.base import File
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from courses.models import Rights, Score, ScoreVersion, User, Work
from courses.services.events import record
from courses.signals import score_taken_down, score_uploaded

FILE_TOO_LARGE = "The file has {size} MB; {limit} MB is the most this site takes."
FILE_EMPTY = "The file is empty."
NAME_TAKEN = (
    "“{work}” has a “{title}” already. A corrected file of it is uploaded on its own page: "
    "Library, {title}, “A corrected file”. For another score choose another name."
)


def shown_name(name: str) -> str:
    """The client's file name for display: no control or direction marks, 150 characters."""
    kept = "".join(c for c in name if unicodedata.category(c)[0] != "C")
    return kept[-150:] or "score"


def digest_of(file: File[bytes]) -> str:
    digest = hashlib.sha256()
    for chunk in file.chunks():
        digest.update(chunk)
    file.seek(0)
    return digest.hexdigest()


def check_upload(file: File[bytes]) -> None:
    """Raise ValidationError with a sentence if the file cannot be taken at all."""
    size = file.size or 0
    if size == 0:
        raise ValidationError(_(FILE_EMPTY), code="empty")
    if size > settings.UPLOAD_MAX_BYTES:
        megabytes = round(size / 2**20, 1)
        limit = settings.UPLOAD_MAX_BYTES // 2**20
        raise ValidationError(
            _(FILE_TOO_LARGE).format(size=megabytes, limit=limit), code="too-large"
        )


@transaction.atomic
def upload_score(
    *,
    tutor: User,
    work_title: str,
    title: str,
    order: int,
    file: File[bytes],
    rights: dict[str, Any],
    work: Work | None = None,
) -> ScoreVersion:
    """Take a new score into the tutor's library, with its rights statement.

    A name that stands in the work already is refused, unless its file could not be
    read; the same file again is the same version.
    """
    check_upload(file)
    if work is None:
        work, _made = Work.objects.get_or_create(
            tutor=tutor, title=work_title, defaults={"composer": rights.get("composer", "")}
        )
    if twice := _sent_twice(work, title, file):
        return twice
    score = _place_for(work, title, order)
    statement = Rights(score=score, **rights)
    statement.full_clean()
    statement.save()
    return upload_version(score=score, by=tutor, file=file)


def _standing(work: Work, title: str) -> Score | None:
    return work.scores.filter(title__iexact=title.strip(), taken_down_at=None).first()


def _sent_twice(work: Work, title: str, file: File[bytes]) -> ScoreVersion | None:
    """The version that this very upload has made already (a form sent twice)."""
    standing = _standing(work, title)
    last = standing.versions.order_by("-number").first() if standing else None
    return last if last and last.sha256 == digest_of(file) else None


def _place_for(work: Work, title: str, order: int) -> Score:
    """A new score of the work, or the one whose file was refused, at the place typed."""
    standing = _standing(work, title)
    if standing is None:
        return Score.objects.create(tutor=work.tutor, work=work, title=title.strip(), order=order)
    stopped = [ScoreVersion.State.REFUSED, ScoreVersion.State.FAILED]
    if standing.versions.exclude(state__in=stopped).exists():
        raise ValidationError(
            {"title": _(NAME_TAKEN).format(work=work.title, title=standing.title)}, code="taken"
        )
    if standing.order != order:
        standing.order = order
        standing.save(update_fields=["order"])
    return standing


@transaction.atomic
def upload_version(*, score: Score, by: User, file: File[bytes]) -> ScoreVersion:
    """Add a file to a score. The same file again is the same version."""
    check_upload(file)
    digest = digest_of(file)
    known = score.versions.filter(sha256=digest).first()
    if known:
        return known
    last = score.versions.order_by("-number").first()
    version = ScoreVersion(
        score=score,
        number=(last.number + 1) if last else 1,
        filename=shown_name(file.name or ""),
        size=file.size or 0,
        sha256=digest,
        uploaded_by=by,
    )
    version.original.save("upload", file, save=False)
    version.save()
    record(by, "score.uploaded", version, number=version.number)
    score_uploaded.send(ScoreVersion, version=version)
    return version


def set_score_state(version: ScoreVersion, state: str, problem: str = "") -> None:
    """For the apps above: where the file is on its way."""
    ScoreVersion.objects.filter(pk=version.pk).update(state=state, problem=problem)
    version.state, version.problem = state, problem


@transaction.atomic
def take_down(*, score: Score, by: User, reason: str = "") -> None:
    """Nobody but the tutor reaches the score from now on."""
    score.taken_down_at = timezone.now()
    score.save(update_fields=["taken_down_at"])
    record(by, "score.taken-down", score)
    score_taken_down.send(Score, score=score)
