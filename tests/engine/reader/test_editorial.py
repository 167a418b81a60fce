"""What the page leaves unwritten: trade-facts 7.2, "mark as editorial assumption"."""

from __future__ import annotations

from analysis.engine.model import NoteFlag
from tests.engine.reader.reading import codes, plays, rows, table


def test_bassoons_with_the_bass_play_the_written_notes():
    t = table("col-basso")
    assert plays(t, "Bassoon 1") == {"1": "C4?", "2": "D3 E3 F3 G3", "3": "A3", "4": "G3"}
    assert plays(t, "Bassoon 2") == {"2": "D3 E3 F3 G3", "3": "A3", "4": "E3"}
    ours = rows(t, "Bassoon 1")
    assumed = (ours["flags"] & NoteFlag.EDITORIAL) != 0
    assert set(ours["bar"][assumed].tolist()) == {1, 2}
    assert not assumed[ours["bar"] == 3].any()
    # evidence lights the notes that are printed
    cello = rows(t, "Violoncello")
    assert set(ours["src"][assumed].tolist()) <= set(cello["src"].tolist())
    assert codes(t)["col-part"] == ("2", "3")


def test_flute_with_the_first_violins():
    t = table("col-violino")
    assert plays(t, "Flauto") == {"1": "C5 D5 E5 F5", "2": "C6"}


def test_notes_that_are_written_out_are_left_alone():
    t = table("written-out")
    assert plays(t, "Bassoon 1") == {"1": "C3", "2": "D3"} == plays(t, "Bassoon 2")
    assert not (t.notes["flags"] & NoteFlag.EDITORIAL).any()
    assert not codes(t)


def test_come_sopra_is_told_and_simile_means_nothing_here():
    t = table("come-sopra")
    assert codes(t) == {"copy-not-expanded": ("2",)}
    assert plays(t, "Flauto") == {"1": "C5 D5 E5 F5", "3": "C5"}
    assert plays(t, "Oboe") == {"1": "C5", "2": "D5", "3": "C5"}


def test_bar_repeat_signs():
    t = table("bar-repeat")
    assert plays(t, "Violino I")["3"] == plays(t, "Violino I")["1"] == "C5 D5 E5 F5"
    assert codes(t) == {"bar-repeat": ("2", "3")}
    written = rows(t, "Violino I")
    assert ((written["flags"] & NoteFlag.EDITORIAL) != 0).sum() == 8
