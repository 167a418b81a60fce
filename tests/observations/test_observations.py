"""Each observation gets its flag, said rightly and said wrongly; none is agreed with wrongly."""

from __future__ import annotations

import pytest

from analysis.engine import claims
from tests.observations.pieces import EXCERPTS
from tests.observations.reading import FLAGS, Statement, answer, scene, statements

LIST = [
    pytest.param(
        one,
        id=one.name,
        marks=[pytest.mark.xfail(strict=True, reason=one.differs)] if one.differs else [],
    )
    for one in statements()
]


@pytest.mark.parametrize("one", LIST)
def test_the_flag_is_the_one_to_expect(one: Statement) -> None:
    got = answer(one)
    assert got["flag"] in one.expected, (one.label, one.why, got)
    assert one.cause in (None, got["cause"]), (one.why, got)


def test_what_is_wrong_never_agrees_and_what_is_right_never_conflicts() -> None:
    """Also where the flag is not the one to expect."""
    flags = {(one.right, answer(one)["flag"]) for one in statements()}
    assert not {(True, "conflicts"), (False, "agrees")} & flags


def test_all_twenty_five_are_there_with_two_wrong_versions_each() -> None:
    for number in range(1, 26):
        own = [one for one in statements() if one.number == number]
        assert sum(one.right for one in own) >= 1, number
        assert sum(not one.right for one in own) >= 2, number
        assert any(one.expected != {"agrees"} for one in own if not one.right), number
    assert {one.number for one in statements()} == set(range(1, 26))


def test_the_list_is_well_formed() -> None:
    for one in statements():
        assert one.expected, one.name
        assert one.claim["kind"] in claims.KINDS, one.name
        assert one.why, one.name
        wanted = {"agrees", "ear"} if one.right else FLAGS - {"agrees"}
        assert one.expected <= wanted, one.name


@pytest.mark.parametrize("name", sorted(EXCERPTS))
def test_an_excerpt_fills_its_bars_and_is_read_without_doubt(name: str) -> None:
    made = scene(name).table
    assert name in {one.piece for one in statements()}
    assert not made.warnings
    assert not [p.label for p in made.first_readings if p.doubt]
    for bar in made.bars:
        assert bar.length == bar.beats * bar.beat_ticks, bar.label
