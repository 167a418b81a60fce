"""Onsets and durations: divisions, voices, tuplets, graces, cues."""

from __future__ import annotations

from analysis.engine.model import TICKS, NoteFlag
from tests.engine.reader.reading import codes, quarters, rows, table


def test_divisions_change_between_and_within_bars():
    assert quarters(table("divisions"), "Flauto") == [
        (0, 1), (1, 2), (3, 1), (4, 1), (5, 1), (6, 1), (7, 1), (8, 4),
    ]  # fmt: skip


def test_backup_and_forward_on_two_staves():
    t = table("voices")
    got = rows(t, "Pianoforte")
    facts = [(r["onset"] / TICKS, int(r["staff"]), int(r["voice"]), int(r["pitch"])) for r in got]
    assert facts == [
        (0, 1, 1, 72), (0, 2, 5, 48), (0, 2, 5, 55),
        (1, 1, 2, 64), (2, 1, 1, 74), (2, 1, 2, 65), (3, 1, 2, 67),
    ]  # fmt: skip


def test_triplets_are_exact():
    got = quarters(table("tuplets"), "Flauto")[:4]
    assert [round(start * TICKS) for start, _ in got] == [0, 3360, 6720, 10080]


def test_what_does_not_fit_the_grid_is_rounded_and_told():
    """11 does not divide 10,080."""
    t = table("tuplets")
    assert codes(t)["rounded"] == ("2",)
    got = [r for r in rows(t, "Flauto") if r["bar"] == 1]
    assert len(got) == 11
    assert all(r["flags"] & NoteFlag.ROUNDED for r in got[1:])
    # no gaps, and the bar is as long as it should be
    assert [int(a["onset"] + a["duration"]) for a in got[:-1]] == [int(b["onset"]) for b in got[1:]]
    assert t.bars[1].length == TICKS


def test_tuplets_that_the_file_rounds_are_told():
    """A triplet in 8 divisions a quarter: 3 + 3 + 2."""
    assert codes(table("tuplets"))["tuplets-rounded"] == ("3",)


def test_graces_have_no_duration_and_an_order():
    t = table("graces")
    got = rows(t, "Flauto")
    facts = [(r["onset"] / TICKS, int(r["duration"]), int(r["order"])) for r in got]
    assert facts == [
        (0, 0, -2), (0, 0, -1), (0, 2 * TICKS, 0),  # two before a note
        (2, 0, -1), (2, 0, -1), (2, 2 * TICKS, 0),  # a chord of graces
        (4, 4 * TICKS, 0),
        (8, 0, -1),  # at the end of its bar, before the next note
        (8, 4 * TICKS, 0),
    ]  # fmt: skip
    assert [t.bars[b].label for b in got["bar"][-2:]] == ["2", "3"]
    assert ((got["flags"] & NoteFlag.GRACE) != 0).sum() == 5


def test_cues_and_hidden_notes_take_part_in_nothing():
    t = table("cues")
    assert ((t.notes["flags"] & NoteFlag.CUE) != 0).tolist() == [True, False, True]
    assert len(t.sounding) == 1
    assert codes(t) == {"hidden-notes": ("2",)}
