"""The whole path without a browser: from a file to a flag a student sees."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from courses.models import Assignment, Course, Score, ScoreVersion
from submissions.models import Check, Observation, Paper
from tests.browser.pieces import serenade
from tests.cast import OCTAVE, Cast, enrol

pytestmark = pytest.mark.django_db


def signed_in(user: Any) -> Client:
    client = Client()
    client.force_login(user)
    return client


def uploaded(tutor: Client, **more: Any) -> Any:
    form = {
        "work_title": "A little serenade", "title": "I", "order": 1, "source": "own pen",
        "basis": "own", "country": "Norway", "assessed_by": "Tuva", "assessed_on": "2026-01-05",
        "entitled": "on", "file": SimpleUploadedFile("s.musicxml", serenade()),
    }  # fmt: skip
    return tutor.post(reverse("upload"), {**form, **more})


def test_from_the_file_to_the_flag_the_student_sees(cast: Cast, drain_jobs: Any) -> None:
    tutor, student = signed_in(cast.tutor), signed_in(cast.student)
    tutor.post(
        reverse("new-course"),
        {"title": "Evenings", "form": "dated", "starts_on": "2026-01-01",
         "ends_on": "2099-01-01", "zone": "Europe/Oslo"},
    )  # fmt: skip
    course = Course.objects.get()
    enrol(course, cast.student)

    assert uploaded(tutor).status_code == 302
    score = Score.objects.get()
    drain_jobs()
    assert score.versions.get().state == ScoreVersion.State.PARTS
    assert b"Corno in Mi" in tutor.get(reverse("parts", args=[score.public_id])).content
    confirm = reverse("confirm-parts", args=[score.public_id])
    tutor.post(confirm, {"together": "1"})
    for row in score.versions.get().parts_revisions.order_by("-number")[0].parts:
        if not row["confirmed"]:
            tutor.post(confirm, {"key": f"{row['id']}@{row['from_bar']}"})
    drain_jobs()
    version = score.versions.get()
    assert version.state == ScoreVersion.State.READY, version.problem

    tutor.post(reverse("new-assignment", args=[course.public_id]), {"title": "First"})
    assignment = Assignment.objects.get()
    page = reverse("assignment", args=[assignment.public_id])
    key = "0f0f0f0f-0000-4000-8000-000000000001"
    answer = tutor.post(
        page,
        {"title": "First", "revision": assignment.revision, "score_version": version.public_id,
         "closes_wall": "2098-05-05 20:00", "zone": "Europe/Oslo", "prompt": key,
         f"{key}-title": "Who goes with whom?", f"{key}-bars": "1-4", "publish": "1"},
    )  # fmt: skip
    assert answer.status_code == 302
    assignment.refresh_from_db()
    assert assignment.state == Assignment.State.PUBLISHED

    reading = reverse("paper", args=[assignment.public_id])
    assert student.get(reading).status_code == 200
    paper = Paper.objects.get()
    one = reverse("api-statement", args=[paper.public_id, "key-1"])
    kept = student.put(one, json.dumps({**OCTAVE, "prompt": key}), content_type="application/json")
    assert kept.status_code == 200, kept.content
    assert kept.json()["problems"] == {}
    gone = student.post(reverse("api-hand-in", args=[paper.public_id]))
    assert gone.status_code == 200, gone.content
    drain_jobs()
    check = Check.objects.get()
    assert (check.flag, check.current) == ("agrees", True)
    assert check.answer["evidence"]

    before = student.get(reading).content.decode()
    assert "flag-agrees" not in before
    statement = Observation.objects.get()
    review = tutor.get(reverse("review", args=[assignment.public_id])).content.decode()
    assert "flag-agrees" in review
    tutor.post(
        reverse("rule", args=[statement.public_id]), {"reply": "Well heard.", "level": "secure"}
    )
    paper.refresh_from_db()
    assert paper.state == Paper.State.RULED
    assert "Well heard." not in student.get(reading).content.decode()
    tutor.post(reverse("give-back", args=[assignment.public_id]))
    after = student.get(reading).content.decode()
    assert "Well heard." in after
    assert "flag-agrees" in after
    assert re.search(r"data-show-evidence", after)
