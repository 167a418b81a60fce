"""The test helper itself, against pitches and lengths worked out by hand."""

import pytest

from analysis.engine.model import TICKS, NoteFlag

from .tables import midi, table


def test_pitches_lengths_and_bars():
    t = table({"Fl": "C5 q D5 e E5 r q | G5 w", "Vl I": "r | C5+E5 h r h"})
    flute, violin = t.by_line
    assert flute["pitch"].tolist() == [72, 74, 76, 79]
    assert (flute["onset"] / TICKS).tolist() == [0, 1, 1.5, 4]
    assert (violin["duration"] / TICKS).tolist() == [2, 2]
    assert all(violin["flags"] & NoteFlag.CHORD)
    assert [b.label for b in t.bars] == ["1", "2"]
    assert t.ids[flute["src"][0]] == "n0-0-0"


def test_ties_join_and_players_share_a_part():
    t = table({"Ob 1": "C5~ w | C5 h D5", "Ob 2": "r | A4 w"}, pickup=0)
    assert [line.players for line in t.lines] == [1, 2]
    assert {line.part for line in t.lines} == {0}
    assert (t.by_line[0]["duration"] / TICKS).tolist() == [6, 2]
    assert len(t.continuations) == 1


def test_pickup_graces_movements_and_transposition():
    t = table({"Cor in Eb": "Eb4 | (D4) Eb4 w || Eb4 q"}, pickup=1)
    assert [b.label for b in t.bars] == ["0", "1", "0"]
    assert [m.first_bar for m in t.movements] == [0, 2]
    assert len(t.by_line[0]) == 3  # without the grace
    # trade-facts 12, assertion 1: horn in Eb, sounding Eb4 is written C5
    row = t.by_line[0][0]
    assert (row["wstep"], row["walter"], row["woctave"]) == (0, 0, 5)
    assert midi("Eb4") == 63


def test_a_bar_too_full_is_refused():
    with pytest.raises(ValueError, match="too full"):
        table({"Fl": "C5 w D5"})
