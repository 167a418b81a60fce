"""Repeats, endings, jumps: the bars as they are played (common practice, no source)."""

from __future__ import annotations

import pytest

from tests.engine.reader.reading import codes, table


def played(name: str) -> str:
    return " ".join(table(name).bars[bar].label for bar, _ in table(name).order)


@pytest.mark.parametrize(
    ("name", "bars"),
    [
        ("repeat-simple", "1 2 3 2 3 4"),  # the signs stand in one part only
        ("repeat-from-start", "1 2 1 2 3 4 3 4 5"),
        ("repeat-endings", "1 2 1 3 4"),
        ("repeat-endings-three", "1 2 1 2 1 3 4"),
        ("repeat-times", "1 1 1 2"),
        ("da-capo", "1 2 1 2 3 4 5 1 2 3"),  # no repeats after the jump, to the fine
        ("dal-segno", "1 2 3 4 2 3 5 6"),
    ],
)
def test_order_of_play(name: str, bars: str):
    assert played(name) == bars


def test_passes():
    assert [b.passes for b in table("repeat-simple").bars] == [(1,), (1, 2), (1, 2), (1,)]
    endings = table("repeat-endings")
    assert [b.passes for b in endings.bars] == [(1, 2), (1,), (2,), (1,)]
    assert [b.ending for b in endings.bars] == ["", "1", "2", ""]
    assert table("da-capo").bars[0].passes == (1, 2, 3)


def test_every_bar_and_pass_is_played_once():
    for name in ("repeat-simple", "repeat-endings-three", "da-capo", "dal-segno"):
        order = table(name).order
        assert len(order) == len(set(order))
        for bar in table(name).bars:
            assert tuple(n for b, n in order if b == bar.index) == bar.passes


def test_repeats_are_capped():
    t = table("repeat-bomb")
    assert t.order == ((0, 1), (1, 1))
    assert codes(t) == {"repeats-too-long": ("1", "2")}
