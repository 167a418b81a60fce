"""The bar map: labels, lengths, pickups, split bars, rests, movements."""

from __future__ import annotations

from analysis.engine.model import TICKS
from tests.engine.reader.reading import codes, plays, table


def test_pickup_and_eight_bars():
    """Trade-facts 12.35: pickup + 8 full bars = bars 0-8, nine bar objects."""
    t = table("pickup")
    assert [b.label for b in t.bars] == [str(n) for n in range(9)]
    assert t.bars[0].implicit
    assert [b.length // TICKS for b in t.bars] == [1, 4, 4, 4, 4, 4, 4, 4, 3]
    assert t.bars[1].start == TICKS


def test_the_second_half_of_a_divided_bar_has_no_number_of_its_own():
    t = table("split-bar")
    assert [(b.label, b.nth) for b in t.bars] == [
        ("1", 1), ("2", 1), ("2", 2), ("3", 1), ("3a", 1), ("3", 2),
    ]  # fmt: skip


def test_the_longest_part_decides_how_long_a_bar_is():
    t = table("unequal-bars")
    assert [b.length // TICKS for b in t.bars] == [4, 4]
    assert codes(t) == {"unequal-bars": ("1",), "missing-bars": ("2",)}


def test_whole_bar_rests_of_four_quarters_in_three_four():
    t = table("whole-rests")
    assert [b.length // TICKS for b in t.bars] == [3, 3, 3]
    assert not codes(t)


def test_a_rest_over_several_bars_in_one_measure():
    t = table("multirest")
    assert len(t.bars) == 5
    assert plays(t, "Tromba") == {"1": "C5", "5": "G4"}
    assert t.notes["onset"][t.notes["part"] == 1].tolist() == [0, 16 * TICKS]


def test_a_bar_without_metre_and_an_additive_one():
    free, five = table("senza-misura").bars
    assert (free.beats, free.length) == (0, 7 * TICKS)
    assert (five.beats, five.beat_type, five.length) == (5, 8, 5 * TICKS // 2)


def test_two_movements_in_one_file():
    t = table("two-movements")
    assert [(m.title, m.first_bar, m.last_bar) for m in t.movements] == [
        ("Allegro", 0, 1), ("Andante", 2, 3),
    ]  # fmt: skip
    assert [(b.movement, b.label, b.nth) for b in t.bars] == [
        (0, "1", 1), (0, "2", 1), (1, "1", 1), (1, "2", 1),
    ]  # fmt: skip
    # the repeat goes back to the start of its own movement
    assert t.order == ((0, 1), (1, 1), (2, 1), (3, 1), (2, 2), (3, 2))


def test_a_trio_is_no_movement():
    t = table("trio")
    assert len(t.movements) == 1
    assert [(b.label, b.nth) for b in t.bars] == [("1", 1), ("2", 1), ("1", 2), ("2", 2)]
