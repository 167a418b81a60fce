"""The table of the page: typed, handed in, compared; and nothing that tells its answers before."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.urls import reverse

from analysis.models import Engraving
from analysis.storage import put, table_of
from courses.models import Step
from courses.stages import new_stage
from submissions.models import Survey
from submissions.services.papers import release
from submissions.services.stages import FIXED, NO_TABLE, NOT_HERE
from tests.cast import Cast, Stage
from tests.submissions.test_stages import Desk, client_of, engraved_and_sounding, staged

pytestmark = pytest.mark.django_db

SURVEY = new_stage("survey", table=True)
CLOSE = new_stage("close-reading", layers=["open-tones"])
RIGHT_AND_WRONG = {
    "0-instrument": "flute", "0-clef": "bass", "page-metre": "4/4", "page-families": "a crowd",
}  # fmt: skip


@pytest.fixture
def surveyed(cast: Cast) -> Stage:
    return staged(cast, SURVEY, CLOSE)


def keep(desk: Desk, cells: Any) -> Any:
    url = reverse("api-survey", args=[desk.paper.public_id])
    return desk.client.patch(url, json.dumps({"cells": cells}), content_type="application/json")


def test_cells_are_kept_one_by_one_and_two_windows_lose_nothing(
    cast: Cast, surveyed: Stage
) -> None:
    one, other = Desk(surveyed, cast.student), Desk(surveyed, cast.student)
    assert keep(one, {"0-clef": "treble", "0-players": "1"}).json() == {
        "cells": {"0-clef": "treble", "0-players": "1"}
    }
    assert keep(other, {"1-clef": "bass"}).status_code == 200
    assert keep(one, {"0-players": " "}).json() == {"cells": {"0-clef": "treble", "1-clef": "bass"}}
    assert 'value="treble"' in one.page()


@pytest.mark.parametrize(
    ("cells", "status"),
    [({"99-clef": "bass"}, 409), ({"mood": "sad"}, 409), ({"0-clef": "b" * 200}, 409),
     ({"0-clef": ["bass"]}, 400), ("bass", 400)],
)  # fmt: skip
def test_what_is_no_cell_is_refused_with_a_sentence(
    cast: Cast, surveyed: Stage, cells: Any, status: int
) -> None:
    answer = keep(Desk(surveyed, cast.student), cells)
    assert answer.status_code == status
    assert answer.json()
    assert not Survey.objects.exists()


def test_it_is_compared_when_its_stage_is_handed_in_and_stays(cast: Cast, surveyed: Stage) -> None:
    desk = Desk(surveyed, cast.student)
    keep(desk, RIGHT_AND_WRONG)
    before = desk.page()
    assert "look again" not in before
    assert Survey.objects.get().seen == {}
    assert desk.hand_in_stage("survey").status_code == 200

    survey = Survey.objects.get()
    assert survey.seen == {"0-instrument": "as-page", "0-clef": "look-again",
                           "page-metre": "as-page", "page-families": "ask"}  # fmt: skip
    assert survey.page["0-clef"] == "treble"
    page = desk.page()
    assert "bass" in page  # as typed
    for words in ("as the page", "look again", "ask your tutor", "the page: treble"):
        assert words not in page  # an answer waits for the tutor (contracts, 5.5)
    assert keep(desk, {"0-clef": "treble"}).json()["detail"] == FIXED
    assert Survey.objects.get().cells == RIGHT_AND_WRONG

    board = client_of(cast.tutor).get(reverse("board", args=[surveyed.assignment.public_id]))
    told = board.content.decode().split('data-testid="surveys"')[1].split("</section>")[0]
    assert "the page: treble" in told
    assert "not decided from the file" in told
    assert "Stella Student" in told
    release(paper=desk.paper, by=cast.tutor)
    page = desk.page()
    for words in ("as the page", "look again", "ask your tutor", "the page: treble"):
        assert words in page
    assert "the page: treble" not in Desk(surveyed, cast.fellow).page()


def test_an_empty_table_is_asked_about_once(cast: Cast, surveyed: Stage) -> None:
    desk = Desk(surveyed, cast.student)
    asked = desk.hand_in_stage("survey", sure="no")
    assert asked.status_code == 409
    assert NO_TABLE in asked.json()["detail"]
    assert desk.hand_in_stage("survey").status_code == 200
    assert 'id="survey"' not in desk.page()  # nothing was written, nothing is shown


def test_before_it_is_handed_in_nothing_tells_what_it_asks(cast: Cast, surveyed: Stage) -> None:
    engraved_and_sounding(surveyed)
    for pitch, key in (("sounding", "s"), ("written", "w")):
        for n, view in enumerate(({"view": {"parts": [], "pitch": pitch}}, {})):
            row = Engraving(copy=surveyed.run.copy, view_key=key * 64, view=view, page=n, pages=1)
            put(row.file, b"<svg xmlns='http://www.w3.org/2000/svg'/>")
            row.save()
    desk, file = Desk(surveyed, cast.student), [surveyed.version.public_id]
    note = table_of(surveyed.run).ids[0]
    telling = {
        "described": reverse("described", args=file) + "?first=0&last=3",
        "note": reverse("note-told", args=[*file, note]),
        "layers": reverse("layers", args=file) + "?first=0&last=3",
        "midi": reverse("score-midi", args=file),
        "timeline": reverse("score-timeline", args=file),
        "heard": reverse("heard-choices", args=file) + "?first=0&last=3",
        "sounding": reverse("score-page", args=[*file, "s" * 64, 1]),
    }
    written = reverse("score-page", args=[*file, "w" * 64, 1])
    assert {n: desk.client.get(u).status_code for n, u in telling.items()} == dict.fromkeys(
        telling, 404
    )
    assert desk.client.get(written).status_code == 200
    read = reverse("read-score", args=[surveyed.course.public_id, surveyed.score.public_id])
    for page in (desk.page(), desk.client.get(read).content.decode()):
        outline = json.loads(page.split('id="outline" type="application/json">')[1].split("<")[0])
        assert {p["instrument"] for p in outline["parts"]} == {"unknown"}
        assert {b["time"] for b in outline["bars"]} == {""}
        assert outline["lines"] == []
        assert 'id="pitch-view"' not in page
        assert 'id="ask-note"' not in page
    view = reverse("score-view", args=file)
    plain = desk.client.get(view).json()["key"]
    assert desk.client.get(f"{view}?pitch=sounding&staves=players").json()["key"] == plain

    desk.hand_in_stage("survey")
    statuses = {n: desk.client.get(u).status_code for n, u in telling.items()}
    assert 404 not in statuses.values(), statuses
    assert desk.client.get(f"{view}?pitch=sounding").json()["key"] != plain


def test_a_later_survey_locks_at_once_and_is_written_when_it_is_reached(cast: Cast) -> None:
    stage = staged(cast, CLOSE, SURVEY)
    desk = Desk(stage, cast.student)
    assert 'id="survey"' not in desk.page()
    assert keep(desk, {"0-clef": "treble"}).json()["detail"] == NOT_HERE
    note = reverse("note-told", args=[stage.version.public_id, table_of(stage.run).ids[0]])
    assert desk.client.get(note).status_code == 404
    desk.hand_in_stage("close-reading")
    assert keep(desk, {"0-clef": "treble"}).status_code == 200
    # The last stage ends with the paper, and is compared then.
    assert not Step.objects.filter(stage="survey").exists()
    desk.say("a", str(stage.assignment.current.prompts.get(stage="survey").key))
    handed = desk.client.post(reverse("api-hand-in", args=[desk.paper.public_id]) + "?sure=yes")
    assert handed.status_code == 200, handed.json()
    assert Survey.objects.get().seen == {"0-clef": "as-page"}


def test_nobody_else_writes_or_reads_it(cast: Cast, surveyed: Stage) -> None:
    desk = Desk(surveyed, cast.student)
    keep(desk, {"0-instrument": "a walrus"})
    url = reverse("api-survey", args=[desk.paper.public_id])
    for who in (cast.fellow, cast.tutor, cast.stranger):
        body = json.dumps({"cells": {"0-instrument": "mine"}})
        answer = client_of(who).patch(url, body, content_type="application/json")
        assert answer.status_code == 404
    assert Survey.objects.get().cells == {"0-instrument": "a walrus"}
    assert "a walrus" not in Desk(surveyed, cast.fellow).page()
    board = client_of(cast.tutor).get(reverse("board", args=[surveyed.assignment.public_id]))
    assert "a walrus" not in board.content.decode()  # a draft is the student's alone


def test_a_stage_without_a_table_is_as_it_was(cast: Cast) -> None:
    desk = Desk(staged(cast, new_stage("survey"), CLOSE), cast.student)
    assert 'id="survey"' not in desk.page()
    assert keep(desk, {"0-clef": "treble"}).json()["detail"] == FIXED
