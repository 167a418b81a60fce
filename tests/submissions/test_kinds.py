"""What a statement's own form refuses, with a sentence at the field."""

from __future__ import annotations

import pytest

from analysis.engine.model import ScoreTable
from submissions.kinds import KINDS
from submissions.kinds.base import on_both_sides
from tests.engine.tables import table


def _problems(kind: str, score: ScoreTable | None = None, **typed: str) -> dict[str, list[str]]:
    form = KINDS[kind].form({f"k-{name}": value for name, value in typed.items()}, table=score)
    form.is_valid()
    return dict(form.errors)


def test_a_part_does_not_cross_itself() -> None:
    assert "cannot cross itself" in str(_problems("crossing", lower="Vl II", upper="vl ii"))
    assert not _problems("crossing", lower="Vl II", upper="Vl I")


def test_a_part_does_not_double_itself() -> None:
    said = _problems("doubling", parts="Fl, Ob", with_="Ob", coverage="full")
    assert "both sides" in str(said["with_"])
    assert not _problems("doubling", parts="Fl", with_="Ob", coverage="full")
    assert not _problems("doubling", parts="Fl", with_="Fl", coverage="none"), "nobody doubles it"


def test_the_lines_of_a_divided_part_may_be_named_against_each_other() -> None:
    """Two players of one staff are two lines of it: common practice, no source."""
    score = table({"Ob 1": "E5 q F5 G5 F5", "Ob 2": "C5 q D5 E5 D5", "Vc": "C3 w"})
    for kind, degree in (("parallel", {"interval": "third"}), ("doubling", {"coverage": "full"})):
        assert not _problems(kind, score, parts="Ob", with_="Ob", **degree)
        said = _problems(kind, score, parts="Vc", with_="Vc", **degree)
        assert "both sides" in str(said["with_"])


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ((None), (None), True),
        ((1), (1), True),
        ((1), (2), False),
        ((1), (None), True),
    ],
)
def test_players_of_one_staff_are_two_parts(one: int | None, other: int | None, same: bool) -> None:
    sides = ([{"part": "P1", "player": one}], [{"part": "P1", "player": other}])
    assert on_both_sides(*sides) is same
    assert not on_both_sides(sides[0], [{"part": "P2", "player": other}])
