"""Whatever the table: a short score music21 can read, or a sentence that there is none."""

from __future__ import annotations

import pytest

from analysis.engine.analyses import analyse
from analysis.engine.claims.speech import render
from analysis.engine.errors import EngineError
from analysis.engine.reduce import MOST_BARS, reduced

from ..any_passage import TABLES, nobody
from ..tables import table
from .outside import parsed


@pytest.mark.parametrize("make", TABLES)
def test_every_table_is_reduced_or_told_to_have_nothing(make):
    t = make()
    short = reduced(t, 0, len(t.bars) - 1, analyse(t))
    said = [render(s) for s in short.sentences]
    assert said
    if not short.xml:
        assert said == ["Nothing pitched sounds in these bars: there is no short score of them."]
        return
    staves = parsed(short.xml)
    assert staves[0].name == "Melody"
    assert 2 <= len(staves) <= 4
    for staff in staves:
        for bar, lengths in zip(t.bars, staff.lengths, strict=True):
            assert round(lengths[0] * 10080) == bar.length


def test_which_tables_have_nothing():
    none = {m.__name__ for m in TABLES if not reduced(t := m(), 0, len(t.bars) - 1, []).xml}
    assert none == {"empty", "percussion_only", "graces_alone"}


def test_quarter_tones_stay_quarter_tones():
    by_name = {make.__name__: make() for make in TABLES}
    t = by_name["quarter_tones"]
    pitches = {a.pitch for s in parsed(reduced(t, 0, 1, []).xml) for a in s.attacks}
    assert any(p % 1 == 0.5 for p in pitches)


def test_bars_that_make_no_short_score_get_a_sentence():
    two = table({"Fl": "C5 w | D5 w || E5 w"})
    with pytest.raises(EngineError, match="one movement"):
        reduced(two, 1, 2, [])
    with pytest.raises(EngineError, match="not in the score"):
        reduced(nobody(), 0, 0, [])
    long = table({"Fl": " | ".join(["C5 w"] * (MOST_BARS + 1))})
    with pytest.raises(EngineError, match="choose fewer"):
        reduced(long, 0, MOST_BARS, [])
