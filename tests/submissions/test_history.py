"""Every version of a statement can be read again by its student, and taken again."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from courses.models import User
from submissions.models import Paper
from submissions.services.observations import take_back
from tests.cast import FREE, OCTAVE, UNISON, Cast, Stage, latest, paper_of, state

pytestmark = pytest.mark.django_db


def client_of(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client


def versions(user: User, paper: Paper, key: str = "k1") -> Any:
    return client_of(user).get(reverse("api-statement-history", args=[paper.public_id, key]))


def put(user: User, paper: Paper, typed: dict[str, Any], number: int) -> Any:
    return client_of(user).put(
        reverse("api-statement", args=[paper.public_id, "k1"]), json.dumps(typed),
        content_type="application/json", headers={"If-Match": str(number)},
    )  # fmt: skip


def test_the_versions_newest_first_as_they_were_typed(cast: Cast, stage: Stage) -> None:
    paper = paper_of(cast.student, stage.assignment)
    state(paper, stage.run, UNISON)
    state(paper, stage.run, OCTAVE, if_match=1)
    state(paper, stage.run, FREE, if_match=2)
    rows = versions(cast.student, paper).json()
    assert [row["number"] for row in rows] == [3, 2, 1]
    assert [row["bars"] for row in rows] == ["5–8", "1–4", "1–4"]
    assert [row["kind"] for row in rows] == [
        "Something else, in my words", "Doubling", "Doubling"
    ]  # fmt: skip
    assert rows[1]["typed"]["says"] == OCTAVE["says"]
    assert rows[2]["typed"]["says"]["octaves"] == "0"
    assert "Flauto" in rows[1]["said"]


def test_one_is_taken_again_and_none_is_lost(cast: Cast, stage: Stage) -> None:
    paper = paper_of(cast.student, stage.assignment)
    state(paper, stage.run, UNISON)
    state(paper, stage.run, OCTAVE, if_match=1)
    first = versions(cast.student, paper).json()[1]
    again = put(cast.student, paper, first["typed"], 2)
    assert again.status_code == 200, again.json()
    assert again.json()["number"] == 3
    rows = versions(cast.student, paper).json()
    assert [row["typed"]["says"]["octaves"] for row in rows] == ["0", "1", "0"]
    assert rows[0]["typed"] == first["typed"]
    assert latest(paper.observations.get()).claim == paper.observations.get().versions.get(
        number=1
    ).claim  # fmt: skip


def test_it_is_the_student_s_alone_and_ends_when_taken_back(cast: Cast, stage: Stage) -> None:
    paper = paper_of(cast.student, stage.assignment)
    statement = state(paper, stage.run, OCTAVE)
    for user in (cast.fellow, cast.tutor, cast.assistant, cast.stranger):
        assert versions(user, paper).status_code == 404
    assert versions(cast.student, paper, "none").status_code == 404
    take_back(observation=statement, student=cast.student)
    assert versions(cast.student, paper).status_code == 404


def test_the_history_asks_the_same_however_long(cast: Cast, stage: Stage) -> None:
    paper = paper_of(cast.student, stage.assignment)
    state(paper, stage.run, {**FREE, "words": "0"})

    def cost() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert versions(cast.student, paper).status_code == 200
        return len(seen)

    few = cost()
    for n in range(1, 9):
        state(paper, stage.run, {**FREE, "words": str(n)}, if_match=n)
    assert cost() == few
    assert len(versions(cast.student, paper).json()) == 9
