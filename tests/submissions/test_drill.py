"""Transposing by hand: what is asked, what is told, and what a stage holds back."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from analysis.engine.drill import question_of
from analysis.storage import table_of
from courses.stages import new_stage
from tests.cast import Cast, Stage
from tests.submissions.test_layers import get
from tests.submissions.test_stages import Desk, staged

pytestmark = pytest.mark.django_db

HORN, BASS = "P2", "P5"
HORN_NOTE = "n1-0-0"  # written C 5 on the horn in E flat


def asked(user: Any, stage: Stage, **more: Any) -> Any:
    query = "&".join(f"{k}={v}" for k, v in {"first": 0, "last": 7, "turn": 0, **more}.items())
    return get(user, f"{reverse('drill', args=[stage.version.public_id])}?{query}")


def told(user: Any, stage: Stage, said: str, way: str = "sounds", note: str = HORN_NOTE) -> Any:
    url = reverse("drill-answer", args=[stage.version.public_id, note])
    return get(user, f"{url}?said={said}&way={way}")


def test_notes_of_the_parts_that_transpose_are_asked_without_an_answer(
    cast: Cast, stage: Stage
) -> None:
    data = asked(cast.student, stage).json()
    assert [p["id"] for p in data["parts"]] == [HORN, BASS]
    horn = next(q for q in data["questions"] if q["note"] == HORN_NOTE)
    assert horn["asks"] == "written C 5: what sounds?"
    assert "Corno in Mi♭" in horn["where"]
    assert "treble clef" in horn["where"]
    assert "E flat 4" in horn["choices"]
    assert set(horn) == {"note", "bar", "where", "asks", "choices"}
    only = asked(cast.student, stage, parts=BASS, way="written").json()["questions"]
    assert {q["where"].split(",")[0] for q in only} == {"Contrabbasso"}
    assert all("how is it written?" in q["asks"] for q in only)


def test_after_a_second_slip_one_is_told(cast: Cast, stage: Stage) -> None:
    url = reverse("drill-answer", args=[stage.version.public_id, HORN_NOTE])
    lines = get(cast.student, f"{url}?said=A2&tell=1").json()["lines"]
    assert "Written C 5, so it sounds E flat 4." in lines


def test_every_right_choice_is_the_table_s_and_every_other_is_wrong(
    cast: Cast, stage: Stage
) -> None:
    table = table_of(stage.run)
    for way in ("sounds", "written"):
        for q in asked(cast.student, stage, way=way).json()["questions"]:
            facts = question_of(table, q["note"])
            assert facts is not None
            right = [
                choice for choice in q["choices"]
                if told(cast.student, stage, choice, way, q["note"]).json()["right"]
            ]  # fmt: skip
            wanted = facts.told.sounding if way == "sounds" else facts.told.written
            assert wanted is not None
            assert len(right) == 1
            assert right[0].endswith(f" {wanted.octave}")
            assert right[0][0] == wanted.name[0]


@pytest.mark.parametrize(
    ("said", "right", "words"),
    [
        ("Eb4", True, "Horn in E flat: sounds a major sixth lower than written."),
        ("Es 4", True, "Written C 5, so it sounds E flat 4."),
        ("Eb5", False, "The note is right, its octave is another one."),
        ("C5", False, "That is the note as it was given."),
        ("A5", False, "The distance is right, the direction is the other one."),
        ("Eb", None, "C 4 is middle C"),
        ("walrus", None, "no name of a note"),
    ],
)
def test_what_is_said_is_told_right_or_wrong_with_the_why(
    cast: Cast, stage: Stage, said: str, right: bool | None, words: str
) -> None:
    answer = told(cast.student, stage, said).json()
    assert answer["right"] is right
    assert words in " ".join(answer["lines"])
    assert ("so it sounds" in " ".join(answer["lines"])) is (right is True)


def test_the_open_tone_is_named_where_the_layer_of_open_tones_is_allowed(
    cast: Cast, stage: Stage
) -> None:
    assert "partial" not in " ".join(told(cast.student, stage, "Eb4").json()["lines"])
    assert "partial 8" in " ".join(told(cast.tutor, stage, "Eb4").json()["lines"])


def test_it_asks_of_nothing_that_a_stage_holds_back(cast: Cast) -> None:
    stage = staged(
        cast, new_stage("survey", table=True), new_stage("first-hearing", line=BASS),
        new_stage("close-reading"),
    )  # fmt: skip
    desk = Desk(stage, cast.student)
    assert asked(cast.student, stage).status_code == 404
    assert told(cast.student, stage, "Eb4").status_code == 404
    assert 'id="drill"' not in desk.page()
    desk.hand_in_stage("survey")
    data = asked(cast.student, stage, parts=HORN).json()
    assert [p["id"] for p in data["parts"]] == [BASS]
    assert {q["where"].split(",")[0] for q in data["questions"]} == {"Contrabbasso"}
    assert told(cast.student, stage, "Eb4").status_code == 404
    desk.hand_in_stage("first-hearing")
    assert told(cast.student, stage, "Eb4").json()["right"] is True


def test_nothing_of_it_is_kept(cast: Cast, stage: Stage) -> None:
    with CaptureQueriesContext(connection) as seen:
        asked(cast.student, stage)
        told(cast.student, stage, "Eb4")
    tables = ("courses_", "analysis_", "submissions_")
    changes = [q["sql"] for q in seen if q["sql"].split()[0] in {"INSERT", "UPDATE", "DELETE"}]
    kept = [sql for sql in changes if any(name in sql for name in tables)]
    assert [sql for sql in kept if "last_login" not in sql] == []  # the test's own signing in


def test_what_makes_no_sense_is_said(cast: Cast, stage: Stage) -> None:
    assert asked(cast.student, stage, first="x").status_code == 422
    assert asked(cast.student, stage, last=99).json()["detail"]
    assert told(cast.student, stage, "C4", note="n0-0-0").status_code == 404  # the flute
    assert asked(cast.stranger, stage).status_code == 404
