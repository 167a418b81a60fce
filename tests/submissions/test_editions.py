"""A student's copy that counts its bars otherwise: declared once, then read so."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from courses.models import Enrolment, Event
from submissions.models import Check, Paper
from tests.cast import OCTAVE, Cast, Stage, handed_in

pytestmark = pytest.mark.django_db

#: Said with the numbers of a copy that counts four bars more: bars 1-4 of ours.
SHIFTED = {**OCTAVE, "bars": "5-8"}


def _flag(paper: Paper) -> str:
    return Check.objects.get(observation_version__observation__paper=paper, current=True).flag


def _declare(client: Client, stage: Stage, bars: str) -> str:
    answer = client.post(
        reverse("declare-edition", args=[stage.course.public_id]),
        {"bars": bars, "assignment": str(stage.assignment.public_id)},
        follow=True,
    )
    assert answer.status_code == 200
    return answer.content.decode()


def test_a_declared_edition_is_read_so_and_taken_back(
    cast: Cast, stage: Stage, client: Client, drain_jobs: Any
) -> None:
    paper = handed_in(stage, cast.student, SHIFTED)
    fellow = handed_in(stage, cast.fellow, SHIFTED)
    before = _flag(paper)
    assert before != "agrees"
    client.force_login(cast.student)
    for _time in range(2):  # declared, taken back, declared again
        assert "My copy counts 4 bars more" in _declare(client, stage, "4")
        drain_jobs()
        assert _flag(paper) == "agrees"
        assert _flag(fellow) == before, "nobody else's copy"
        _declare(client, stage, "0")
        drain_jobs()
        assert _flag(paper) == before
    check = Check.objects.filter(observation_version__observation__paper=paper, flag="agrees").get()
    assert "claim.reading.edition" in json.dumps(check.sentences), "the tutor sees why"
    assert Event.objects.filter(verb="edition.declared").count() == 4


@pytest.mark.parametrize("bars", ["four", "1.5", "9999"])
def test_what_is_no_number_of_bars_is_refused(
    cast: Cast, stage: Stage, client: Client, bars: str
) -> None:
    client.force_login(cast.student)
    assert "a whole number such as 4" in _declare(client, stage, bars)
    assert not Enrolment.objects.exclude(bar_offset=0).exists()
