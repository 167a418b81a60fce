"""The desk: what is open, closed or late for a student; how much waits for the tutor."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from courses.models import AssignmentVersion, Extension
from submissions.services.rulings import rule
from tests.cast import OCTAVE, UNISON, Cast, Stage, handed_in, latest
from tests.rewrite import rewrite

pytestmark = pytest.mark.django_db


def desk(cast: Cast, client: Client) -> Any:
    client.force_login(cast.student)
    return client.get(reverse("desk"))


def closed(stage: Stage) -> None:
    rewrite(AssignmentVersion.objects.all(), closes_at=timezone.now() - timedelta(days=2))


def test_an_open_assignment_stands_under_to_read(cast: Cast, stage: Stage, client: Client) -> None:
    page = desk(cast, client)
    assert [row["assignment"] for row in page.context["to_read"]] == [stage.assignment]
    assert "hand in by" in page.content.decode()
    assert "<h2>Closed</h2>" not in page.content.decode()


def test_a_closed_assignment_stands_apart(cast: Cast, stage: Stage, client: Client) -> None:
    closed(stage)
    page = desk(cast, client)
    assert page.context["to_read"] == []
    assert [row["assignment"] for row in page.context["closed"]] == [stage.assignment]
    text = page.content.decode()
    assert "<h2>To read</h2>" not in text
    assert "<h2>Closed</h2>" in text
    assert "not begun" in text
    assert "hand in by" not in text
    paper = client.get(reverse("paper", args=[stage.assignment.public_id])).content.decode()
    assert "hand in by" not in paper


def test_what_was_handed_in_late_says_so(cast: Cast, stage: Stage, client: Client) -> None:
    closed(stage)
    handed_in(stage, cast.student, check=False)
    assert "handed in, late" in desk(cast, client).content.decode()


def test_more_time_for_one_student_keeps_it_open(cast: Cast, stage: Stage, client: Client) -> None:
    closed(stage)
    Extension.objects.create(
        assignment=stage.assignment, student=cast.student,
        closes_at=timezone.now() + timedelta(days=1),
    )  # fmt: skip
    page = desk(cast, client)
    assert [row["assignment"] for row in page.context["to_read"]] == [stage.assignment]
    assert page.context["closed"] == []


def test_the_tutor_sees_how_many_statements_are_open(
    cast: Cast, stage: Stage, client: Client
) -> None:
    paper = handed_in(stage, cast.student, OCTAVE, UNISON)
    client.force_login(cast.tutor)
    assert "2 statements open · 1 paper handed in" in client.get(reverse("desk")).content.decode()
    first, second = paper.observations.all()
    rule(statement=latest(first), by=cast.tutor)
    assert "1 statement open · 1 paper handed in" in client.get(reverse("desk")).content.decode()
    rule(statement=latest(second), by=cast.tutor)
    text = client.get(reverse("desk")).content.decode()
    assert "1 ruled, not given back" in text
    assert "open ·" not in text
