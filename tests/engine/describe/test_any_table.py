"""Whatever the table: a description, or a sentence on what to do."""

from __future__ import annotations

import pytest

from analysis.engine.analyses import analyse
from analysis.engine.claims.speech import render
from analysis.engine.describe import describe, grid
from analysis.engine.errors import EngineError

from ..any_passage import TABLES, nobody
from ..tables import table


@pytest.mark.parametrize("make", TABLES)
def test_every_table_is_described(make):
    t = make()
    last = len(t.bars) - 1
    for findings in (analyse(t), None):
        said = [render(s) for s in describe(t, 0, last, findings).sentences]
        assert 2 <= len(said) <= 8
        assert all(s.endswith(".") for s in said)
        assert len(grid(t, 0, last, findings).rows) >= 1


def test_what_is_said_of_special_tables():
    by_name = {make.__name__: make() for make in TABLES}

    def said(name):
        t = by_name[name]
        return " ".join(render(s) for s in describe(t, 0, len(t.bars) - 1, []).sentences)

    assert "Nobody plays." in said("empty")
    assert "Silent" not in said("empty")
    assert "without metre" in said("unmetered")
    assert "Melody" not in said("percussion_only")
    assert "Playing" in said("percussion_only")


def test_no_bars_at_all_is_a_sentence():
    with pytest.raises(EngineError, match="not in the score"):
        describe(nobody(), 0, 0)


def test_sixty_parts_stay_readable():
    names = [f"{word} {n}" for word in ("Vl", "Cor in Eb", "Fl") for n in range(1, 21)]
    t = table({name: "C4 q D4 E4 F4" for name in names})
    said = [render(s) for s in describe(t, 0, 0, analyse(t)).sentences]
    assert len(said) <= 8
    assert len(said[1]) < 200
