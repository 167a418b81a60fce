"""What goes through a whole paper stands once on the tutor's page, and not on the student's."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from submissions.constant import constant_of
from submissions.models import Check
from tests.cast import OCTAVE, Cast, Stage, handed_in

pytestmark = pytest.mark.django_db

#: the flute plays, and goes with the violins, in bars 1-4 and rests from 5 on: each a bar late
LATE: tuple[dict[str, Any], ...] = (
    {**OCTAVE, "bars": "2-5"},
    {**OCTAVE, "bars": "2-5", "says": {**OCTAVE["says"], "octaves": ""}},  # type: ignore[dict-item]
    {"kind": "playing", "bars": "2-5", "says": {"parts": "Flauto", "mode": "play"}},
)


def test_three_bars_late_are_one_remark(cast: Cast, stage: Stage, client: Client) -> None:
    paper = handed_in(stage, cast.student, *LATE)
    assert set(Check.objects.values_list("flag", "cause")) == {("partly", "bar-offset")}
    (said,) = constant_of(paper)
    assert said.startswith("3 of 3 statements are one bar late")
    client.force_login(cast.tutor)
    page = client.get(reverse("review", args=[stage.assignment.public_id])).content.decode()
    assert page.count(said) == 1
    client.force_login(cast.student)
    own = client.get(reverse("paper", args=[stage.assignment.public_id])).content.decode()
    assert "one bar late" not in own


def test_two_are_none(cast: Cast, stage: Stage) -> None:
    assert constant_of(handed_in(stage, cast.student, *LATE[:2])) == []
