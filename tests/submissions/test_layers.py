"""Layers and single notes: the tutor's side sees all, a student what the stage reached allows."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from analysis.engine.layering import ids_of
from analysis.storage import computed_findings, table_of
from courses.models import Step, User
from courses.stages import LAYERS, new_stage
from submissions.services.papers import release
from tests.cast import Cast, Stage, handed_in, make_stage, publish

pytestmark = pytest.mark.django_db

ALL = ",".join(LAYERS)


def get(user: User, url: str) -> Any:
    client = Client()
    client.force_login(user)
    return client.get(url)


def layers(user: User, stage: Stage, first: int = 0, last: int = 3, asked: str = ALL) -> Any:
    url = reverse("layers", args=[stage.version.public_id])
    answer = get(user, f"{url}?first={first}&last={last}&layers={asked}")
    assert answer.status_code == 200
    assert "no-store" in answer["Cache-Control"]
    return answer.json()


def names(answer: Any) -> list[str]:
    return [layer["name"] for layer in answer["allowed"]]


def told(user: User, stage: Stage, note_id: str) -> Any:
    return get(user, reverse("note-told", args=[stage.version.public_id, note_id]))


def first_note(stage: Stage, part: str) -> str:
    table = table_of(stage.run)
    index = next(p.index for p in table.first_readings if p.label == part)
    return next(table.ids[r["src"]] for r in table.notes if r["part"] == index)


def test_the_tutor_s_side_has_every_layer(cast: Cast, stage: Stage) -> None:
    for user in (cast.tutor, cast.assistant):
        answer = layers(user, stage)
        assert names(answer) == list(LAYERS)
        assert {m["layer"] for m in answer["marks"]} >= {"melody", "doublings", "roles"}
    assert layers(cast.tutor, stage, asked="")["marks"] == []
    only = layers(cast.tutor, stage, asked="doublings")["marks"]
    assert {m["layer"] for m in only} == {"doublings"}
    assert any("Violino I" in m["word"] and "octave" in m["word"] for m in only)


def test_without_the_tutor_s_leave_there_is_none(cast: Cast, stage: Stage) -> None:
    for bars in ((0, 3), (4, 7), (0, 7)):
        assert layers(cast.student, stage, *bars) == {"allowed": [], "marks": []}
    handed_in(stage, cast.student)
    assert layers(cast.student, stage) == {"allowed": [], "marks": []}


def test_after_release_every_layer_of_the_bars_asked_about_also_in_own_reading(
    cast: Cast, stage: Stage
) -> None:
    release(paper=handed_in(stage, cast.student), by=cast.tutor)
    whole = layers(cast.student, stage, 0, 7)
    assert names(whole) == list(LAYERS)
    assert {m["layer"] for m in whole["marks"]} >= {"melody", "doublings", "roles"}
    assert max(m["last"] for m in whole["marks"]) == 3, "and nothing of the bars beyond"
    assert layers(cast.student, stage, 4, 7) == {"allowed": [], "marks": []}
    assert layers(cast.fellow, stage, 0, 7) == {"allowed": [], "marks": []}
    publish(stage.course, stage.version, "Again")
    assert layers(cast.student, stage, 0, 7) == {"allowed": [], "marks": []}, "asked once more"


def allowing(*named: str) -> dict[str, Any]:
    return new_stage("close-reading", layers=list(named))


def test_a_stage_allows_its_layers_and_no_other(cast: Cast) -> None:
    stage = make_stage(cast, stages=[new_stage("survey"), allowing("melody", "keys")])
    assert layers(cast.student, stage) == {"allowed": [], "marks": []}, "not there yet"
    Step.objects.create(assignment=stage.assignment, student=cast.student, stage="survey")
    answer = layers(cast.student, stage)
    assert names(answer) == ["melody", "keys"]
    assert {m["layer"] for m in answer["marks"]} <= {"melody", "keys"}
    assert any(m["layer"] == "melody" for m in answer["marks"])
    assert layers(cast.fellow, stage)["allowed"] == [], "each student's own progress"


def test_another_open_assignment_on_the_bars_must_allow_it_too(cast: Cast) -> None:
    stage = make_stage(cast, stages=[allowing("melody", "roles")])
    assert names(layers(cast.student, stage)) == ["melody", "roles"]
    publish(stage.course, stage.version, "Second", stages=[allowing("roles")])
    assert names(layers(cast.student, stage)) == ["roles"]
    publish(stage.course, stage.version, "Third")
    assert layers(cast.student, stage) == {"allowed": [], "marks": []}


def test_nothing_is_told_of_bars_beyond_those_asked_for(cast: Cast, stage: Stage) -> None:
    for mark in layers(cast.tutor, stage, 1, 2)["marks"]:
        assert 1 <= mark["first"] <= mark["last"] <= 2
        assert {int(i.split("-")[1]) for i in mark["ids"]} <= {1, 2}


def test_a_mark_has_the_notes_of_its_finding(cast: Cast, stage: Stage) -> None:
    whole = len(stage.run.copy.outline["bars"]) - 1
    marks = layers(cast.tutor, stage, 0, whole)["marks"]
    found = {frozenset(ids_of(f)) for f in computed_findings(stage.run)}
    assert marks
    assert {frozenset(m["ids"]) for m in marks} <= found


def test_what_a_note_sounds(cast: Cast, stage: Stage) -> None:
    flute = told(cast.student, stage, first_note(stage, "Flauto")).json()
    assert flute == {"title": "Flauto", "lines": ["written E 5", "sounds as written"]}
    note = first_note(stage, "Corno in Mi♭")
    lines = told(cast.tutor, stage, note).json()["lines"]
    assert lines == ["written C 5", "sounds E flat 4, a major sixth lower",
                     "open tone, partial 8 of the crook"]  # fmt: skip
    assert told(cast.student, stage, note).json()["lines"] == lines[:2], "what may be asked about"
    assert told(cast.tutor, stage, "n99-0-0").status_code == 404
    assert told(cast.tutor, stage, "b0").status_code == 404


def test_a_closed_page_tells_nothing(cast: Cast) -> None:
    stage = make_stage(cast, prompt={"asking": "recall"})
    url = reverse("layers", args=[stage.version.public_id])
    assert get(cast.student, f"{url}?first=0&last=1").status_code == 404
    assert told(cast.student, stage, first_note(stage, "Flauto")).status_code == 404


def test_one_line_alone(cast: Cast) -> None:
    stage = make_stage(cast, stages=[new_stage("first-hearing", line="P3")])
    assert told(cast.student, stage, first_note(stage, "Violino I")).status_code == 200
    assert told(cast.student, stage, first_note(stage, "Flauto")).status_code == 404


@pytest.mark.parametrize("query", ["", "first=0", "first=x&last=2", "first=-1&last=2",
                                   "first=0&last=99999999"])  # fmt: skip
def test_bars_that_make_no_sense(cast: Cast, stage: Stage, query: str) -> None:
    url = reverse("layers", args=[stage.version.public_id])
    answer = get(cast.tutor, f"{url}?{query}")
    assert (answer.status_code, answer.json()) == (422, {"detail": "Say which bars."})


def test_the_questions_to_the_database_do_not_grow(cast: Cast) -> None:
    stage = make_stage(cast, stages=[allowing("melody")])

    def cost() -> int:
        layers(cast.student, stage)
        with CaptureQueriesContext(connection) as seen:
            layers(cast.student, stage)
        return len(seen)

    before = cost()
    for n in range(5):
        publish(stage.course, stage.version, f"No. {n}", stages=[allowing("melody")])
    assert cost() == before
    assert before <= 34
