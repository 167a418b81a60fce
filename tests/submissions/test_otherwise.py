"""Bars heard otherwise, and blind: both are played, nothing tells which, locks hold."""

from __future__ import annotations

from typing import Any

import pytest

from courses.stages import new_stage
from tests.cast import Cast, Stage
from tests.submissions.test_heard import get, notes
from tests.submissions.test_stages import Desk, staged

pytestmark = [pytest.mark.django_db, pytest.mark.slow]

ASKED = "first=0&last=3&part=P1&how=without"


def heard(user: Any, stage: Stage, query: str) -> Any:
    return get(user, stage, "otherwise", query)


def test_a_part_is_left_out_or_moved(cast: Cast, stage: Stage) -> None:
    whole = heard(cast.student, stage, f"{ASKED}&as=it-stands")
    less = heard(cast.student, stage, f"{ASKED}&as=otherwise")
    assert notes(whole) - notes(less) == 16  # four bars of four quarters of the flute
    moved = heard(cast.student, stage, ASKED.replace("without", "lower") + "&as=otherwise")
    assert notes(moved) == notes(whole)
    assert moved.content != whole.content
    assert "no-store" in whole["Cache-Control"]


def test_blind_is_one_of_the_two_and_the_address_does_not_say_which(
    cast: Cast, stage: Stage
) -> None:
    whole = heard(cast.student, stage, f"{ASKED}&as=it-stands").content
    less = heard(cast.student, stage, f"{ASKED}&as=otherwise").content
    told = []
    for number in range(40):
        query = f"{ASKED}&blind={number}"
        played = heard(cast.student, stage, query).content
        assert played == heard(cast.student, stage, query).content  # once more is the same again
        said = get(cast.student, stage, "otherwise-told", query).json()["otherwise"]
        assert played == (less if said else whole)
        told.append(said)
    assert 8 <= sum(told) <= 32  # a fair coin is outside once in ten thousand
    others = [get(cast.fellow, stage, "otherwise-told", f"{ASKED}&blind={n}").json()["otherwise"]
              for n in range(40)]  # fmt: skip
    assert others != told  # another listener's answers are other ones
    assert get(cast.student, stage, "otherwise-told", ASKED).status_code == 404


@pytest.mark.parametrize(
    ("query", "words"),
    [("first=0&last=3&part=P9&how=without", "which part"),
     ("first=0&last=3&part=P1&how=backwards", "how"),
     ("first=0&last=999&part=P1&how=without", "not in the score"),
     ("first=5&last=6&part=P1&how=without", "silent in these bars")],
)  # fmt: skip
def test_what_cannot_be_played_is_said(cast: Cast, stage: Stage, query: str, words: str) -> None:
    answer = heard(cast.student, stage, query)
    assert answer.status_code == 422
    assert words in answer.json()["detail"]


def test_while_the_sound_is_locked_there_is_nothing_to_hear(cast: Cast) -> None:
    stage = staged(cast, new_stage("survey", sound_locked=True), new_stage("close-reading"))
    desk = Desk(stage, cast.student)
    assert heard(cast.student, stage, f"{ASKED}&as=it-stands").status_code == 404
    assert get(cast.student, stage, "otherwise-told", f"{ASKED}&blind=1").status_code == 404
    assert 'id="otherwise"' not in desk.page()
    desk.hand_in_stage("survey")
    assert notes(heard(cast.student, stage, f"{ASKED}&as=it-stands"))
    page = desk.page()
    assert "A synthesiser is no hall" in page
    assert "An experiment" in page
