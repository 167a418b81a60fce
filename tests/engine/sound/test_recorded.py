"""Bars of a recording: between taps by the score's own tempo, never beyond what was tapped."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.engine.errors import EngineError
from analysis.engine.sound.recorded import RecordedBar, recorded_bars


def rows(found: list[RecordedBar]) -> list[tuple[int, float, float, bool]]:
    return [(b.place, b.start, b.end, b.tapped) for b in found]


def test_between_taps_a_slower_bar_takes_its_share() -> None:
    # Bars of 2, 4, 2 s by the score; played in 16 s instead of 8.
    assert rows(recorded_bars([2, 4, 2, 2], {0: 1.0, 3: 17.0}, 30)) == [
        (0, 1.0, 5.0, True), (1, 5.0, 13.0, False), (2, 13.0, 17.0, False), (3, 17.0, 30.0, True),
    ]  # fmt: skip


def test_the_upbeat_before_the_first_tap_is_worked_out_backwards() -> None:
    # An upbeat of half a second, played at half the tempo: one second.
    found = rows(recorded_bars([0.5, 2, 2], {1: 3.0, 2: 7.0}, 12, upbeats={0}))
    assert found[0] == (0, 2.0, 3.0, False)
    assert rows(recorded_bars([0.5, 2, 2], {1: 3.0, 2: 7.0}, 12))[0] == (1, 3.0, 7.0, True)
    assert rows(recorded_bars([0.5, 2, 2], {1: 0.4, 2: 4.4}, 9, upbeats={0}))[0][1] == 0.0


def test_after_the_last_tap_nothing_is_guessed() -> None:
    found = rows(recorded_bars([2] * 9, {2: 10.0, 3: 13.0}, 60))
    assert found == [(2, 10.0, 13.0, True), (3, 13.0, 16.0, True)]
    assert rows(recorded_bars([2] * 9, {3: 13.0}, 14)) == [(3, 13.0, 14.0, True)]
    assert recorded_bars([2, 2], {}, 9) == []


def test_bars_without_length_share_alike() -> None:
    assert [b.start for b in recorded_bars([0, 0, 1], {0: 1.0, 2: 3.0}, 5)] == [1.0, 2.0, 3.0]


@pytest.mark.parametrize("taps", [{0: 5.0, 1: 5.0}, {0: 5.0, 2: 4.0}, {7: 1.0}, {-1: 1.0}])
def test_taps_that_cannot_be_are_refused(taps: dict[int, float]) -> None:
    with pytest.raises(EngineError):
        recorded_bars([1, 1, 1], taps, 9)


@given(
    st.lists(st.floats(0.1, 20), min_size=1, max_size=40),
    st.dictionaries(st.integers(0, 39), st.floats(0.01, 30), min_size=1),
)
def test_bars_follow_each_other_and_every_tap_is_kept(
    lengths: list[float], steps: dict[int, float]
) -> None:
    taps, now = {}, 0.0
    for place in sorted(p for p in steps if p < len(lengths)):
        now += steps[place]
        taps[place] = round(now, 3)
    found = recorded_bars(lengths, taps, now + 5)
    assert [b.place for b in found] == list(range(min(taps, default=0), max(taps, default=-1) + 1))
    assert {b.place: b.start for b in found if b.tapped} == taps
    assert all(a.end == b.start and a.start <= a.end for a, b in pairwise(found))
