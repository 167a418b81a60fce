"""What nobody has mentioned: findings - notes - statements, each subtraction by itself."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from analysis import storage
from courses.models import Note
from submissions.unmentioned import not_mentioned
from tests.cast import OCTAVE, Cast, Stage, handed_in, note

pytestmark = pytest.mark.django_db


def sentences(stage: Stage) -> set[str]:
    return {row["sentence"] for row in not_mentioned(stage.assignment, stage.run)}


def octave(stage: Stage) -> str:
    """The sentence of the flute's doubling in bars 1-4."""
    (found,) = [s for s in sentences(stage) if "Flauto doubles Violino I one octave higher" in s]
    return found


def lit(*parts: str) -> list[dict[str, Any]]:
    return [{"part": p, "player": None} for p in parts]


def ids(stage: Stage) -> dict[str, str]:
    table = storage.table_of(stage.run)
    return {r.label: r.id for r in table.first_readings}


def test_a_statement_that_agrees_takes_its_finding_and_no_other(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    before, mine = sentences(stage), octave(stage)
    handed_in(stage, cast.student, OCTAVE)
    drain_jobs()
    after = sentences(stage)
    assert mine in before
    assert mine not in after
    assert {s for s in before - after if "doubles" not in s and "play one line" not in s} == set()


def test_a_wrong_statement_takes_nothing(cast: Cast, stage: Stage, drain_jobs: Any) -> None:
    before = sentences(stage)
    wrong = {**OCTAVE, "says": {**OCTAVE["says"], "parts": "Corno", "with_": "Violino I"}}
    handed_in(stage, cast.student, wrong)
    drain_jobs()
    assert sentences(stage) == before


def test_a_note_takes_what_its_lit_parts_do_in_its_bars(stage: Stage) -> None:
    mine, part = octave(stage), ids(stage)
    note(stage, first_bar=0, last_bar=0, lit=lit(part["Flauto"], part["Violino I"]))
    assert mine in sentences(stage), "one bar of four is not the doubling"
    note(stage, first_bar=0, last_bar=3, lit=lit(part["Flauto"]))
    assert mine in sentences(stage), "one part of two is not the doubling"
    note(stage, first_bar=0, last_bar=3, lit=lit(part["Flauto"], part["Violino I"]))
    assert mine not in sentences(stage)


def test_a_note_without_lit_parts_takes_what_the_parts_it_names_do_in_its_bars(
    stage: Stage,
) -> None:
    mine = octave(stage)
    note(stage, first_bar=0, last_bar=3, text="A line of great calm.")
    assert mine in sentences(stage), "it names nobody"
    note(stage, first_bar=0, last_bar=3, text="Hear the flute.")
    assert mine in sentences(stage), "one part of two is not the doubling"
    note(stage, first_bar=4, last_bar=7, text="The flute goes with the first violins.")
    assert mine in sentences(stage), "other bars"
    note(stage, first_bar=0, last_bar=3, text="The flute goes with the first violins.")
    assert mine not in sentences(stage)


@pytest.mark.parametrize("more", [{"state": Note.State.PRIVATE}, {"course": None}])
def test_a_note_that_the_course_cannot_see_takes_nothing(
    stage: Stage, more: dict[str, Any]
) -> None:
    mine, part = octave(stage), ids(stage)
    note(stage, first_bar=0, last_bar=3, lit=lit(part["Flauto"], part["Violino I"]), **more)
    assert mine in sentences(stage)


def test_a_note_on_a_finding_takes_that_finding(cast: Cast, stage: Stage, client: Client) -> None:
    """Written from the score page's "note on this", which sends the finding by value."""
    mine = octave(stage)
    client.force_login(cast.tutor)
    findings = reverse("findings", args=[stage.score.public_id])
    page = client.get(findings, {"first": 0, "last": 3, "topic": "doubling"})
    shown = [r for s in page.context["sections"] for r in s["rows"]]
    (row,) = [r for r in shown if r["sentence"] == mine]
    sent = {"bars": "1-4", "text": "The flute, of course.", "finding": json.dumps(row["by_value"]),
            "course": str(stage.course.public_id)}  # fmt: skip
    write = reverse("write-note", args=[stage.score.public_id])
    assert client.post(write, {**sent, "bars": "5-8"}).status_code == 302
    assert mine in sentences(stage), "moved to other bars, it is no longer about this"
    assert client.post(write, sent).status_code == 302
    assert mine not in sentences(stage)
    assert client.post(write, {**sent, "finding": "{no JSON"}).status_code == 302
