"""What a statement's own form refuses, with a sentence at the field."""

from __future__ import annotations

import pytest

from analysis.engine import names
from analysis.engine.claims.fields import PartField
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import ScoreTable
from submissions.kinds import KINDS
from submissions.kinds.base import on_both_sides, part_claims
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


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ("horns 1 and 2", ["Cor 1", "Cor 2"]),
        ("horns 1, 2", ["Cor 1", "Cor 2"]),
        ("Vl. I, II", ["Vl I", "Vl II"]),
        ("violins I & II", ["Vl I", "Vl II"]),
        ("first and second horns, vla", ["Cor 1", "Cor 2", "Vla"]),
        ("horns 1 and 2 and bassoon", ["Cor 1", "Cor 2", "Fg"]),
        ("horn 1; vl. II", ["Cor 1", "Vl II"]),
        ("strings, but not basses", ["Vl I", "Vl II", "Vla", "Vc"]),
    ],
)
def test_numbers_stay_with_their_names(typed: str, wanted: list[str]) -> None:
    """As people write several players of one instrument: common practice, no source."""
    score = table({"Fg": "C3 w", "Cor 1": "C4 w", "Cor 2": "C4 w", "Vl I": "C5 w",
                   "Vl II": "C5 w", "Vla": "C4 w", "Vc": "C3 w", "Cb": "C2 w"})  # fmt: skip
    found = [
        names.resolve(PartField().read(p, "parts"), score, 0) for p in part_claims(typed, score)
    ]
    assert [score.lines[i].name for named in found for i in named.lines] == wanted


def test_a_number_without_a_name_is_asked_about() -> None:
    score = table({"Fl": "C5 w", "Vc": "C3 w"})
    with pytest.raises(ClaimNotUnderstood, match="no number"):
        part_claims("flutes 1 and 2", score)
    assert "names no part" in str(_problems("role", score, parts="2, 3", role="melody"))
