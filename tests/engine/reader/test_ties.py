"""Ties: one row for what sounds once."""

from __future__ import annotations

from analysis.engine.model import TICKS
from tests.engine.reader.reading import plays, quarters, rows, table


def _lengths() -> dict[str, float]:
    t = table("ties")
    return {
        t.bars[row["bar"]].label: row["duration"] / TICKS for row in rows(t, "Flauto")
    }  # fmt: skip


def test_a_tie_over_three_notes_is_one_row():
    t = table("ties")
    assert _lengths()["1"] == 8
    assert "2" not in plays(t, "Flauto")
    first = [t.ids[src] for row, src in t.continuations if row == 0]
    assert first == ["n0-1-0", "n0-1-1"]


def test_tied_without_tie_and_tie_without_tied():
    """The page shows the tie, or the file says it: both join."""
    assert _lengths()["3"] == 8
    assert _lengths()["5"] == 8


def test_enharmonic_tie():
    assert _lengths()["7"] == 8


def test_what_does_not_join():
    lengths = _lengths()
    assert lengths["9"] == lengths["10"] == 4  # let it ring
    assert lengths["11"] == lengths["12"] == 4  # another pitch


def test_tie_into_another_voice():
    assert _lengths()["13"] == 8


def test_tie_into_the_second_ending_is_not_joined_over_the_first():
    t = table("tie-into-second-ending")
    assert plays(t, "Flauto") == {"1": "C5", "3": "C5"}
    assert quarters(t, "Flauto") == [(0, 8), (8, 4)]


def test_one_note_a_due_goes_on_in_two_voices():
    t = table("tie-a-due")
    assert quarters(t, "Oboe 1")[0] == (0, 8)
    assert plays(t, "Oboe 2") == {"1": "C5", "2": "D5", "3": "G5"}


def test_two_voices_go_on_in_one_note():
    t = table("tie-a-due")
    assert quarters(t, "Oboe 1")[-1] == (8, 8)
    assert quarters(t, "Oboe 2")[-1] == (8, 8)
    tied_on = [t.ids[src] for _, src in t.continuations]
    assert tied_on.count("n0-3-0") == 2


def test_a_grace_tied_to_its_note():
    t = table("grace-tied")
    assert quarters(t, "Flauto") == [(0, 4)]


def test_a_tie_out_of_a_bar_that_is_too_short():
    t = table("oracle-tie-out-of-short-bar")
    assert quarters(t, "Flauto") == [(0, 8)]
