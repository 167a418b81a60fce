"""Whether a reading page may be kept over a reload without a line: the server says so on it."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from courses.models import Step, User
from courses.stages import new_stage
from tests.cast import Cast, Stage, make_stage

pytestmark = pytest.mark.django_db


def word(user: User, stage: Stage, *, own: bool = False) -> list[str]:
    client = Client()
    client.force_login(user)
    url = reverse("paper", args=[stage.assignment.public_id])
    if own:
        url = reverse("read-score", args=[stage.course.public_id, stage.score.public_id])
    answer = client.get(url)
    assert ("data-offline-url" in answer.content.decode()) == (answer["Offline"][:4] == "keep")
    return answer["Offline"].split(" ")


def test_an_open_page_may_be_kept_for_its_person(cast: Cast, stage: Stage) -> None:
    for own in (False, True):
        kept = word(cast.student, stage, own=own)
        assert kept == ["keep", str(cast.student.public_id), str(stage.version.public_id)]


@pytest.mark.parametrize("held", [
    {"prompt": {"asking": "recall"}},
    {"stages": [new_stage("survey", sound_locked=True), new_stage("close-reading")]},
    {"stages": [new_stage("first-hearing", line="P3"), new_stage("close-reading")]},
    {"stages": [new_stage("survey", table=True), new_stage("close-reading")]},
])  # fmt: skip
def test_nothing_is_kept_of_a_score_something_is_held_back_of(cast: Cast, held: dict) -> None:
    stage = make_stage(cast, **held)
    for own in (False, True):
        dropped = word(cast.student, stage, own=own)
        assert dropped == ["drop", str(cast.student.public_id), str(stage.version.public_id)]
    if "stages" in held:
        first = held["stages"][0]["kind"]
        Step.objects.create(assignment=stage.assignment, student=cast.student, stage=first)
        assert word(cast.student, stage)[0] == "keep"


def test_the_worker_is_at_the_root_and_reads_the_server_s_word() -> None:
    answer = Client().get("/offline.js")
    assert answer["Content-Type"].startswith("text/javascript")
    assert answer["Cache-Control"] == "no-cache"
    assert b'headers.get("Offline")' in answer.content
