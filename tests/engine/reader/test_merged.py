"""Two parts of a real score merged on one staff read back as the same two lines."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from analysis.engine.model import UNKNOWN_PLAYERS, ScoreTable
from analysis.engine.reader import read
from tests import oracle
from tests.corpora import require_corpora, score_files
from tests.engine.reader.merging import merged

FOLDERS = ("scores",)
NAMES = ("Beethoven_Op.21_2", "Brahms_Op.90_3")
_LABELS = {
    "flute": "2 Flauti",
    "oboe": "2 Oboi",
    "clarinet": "2 Clarinetti in C",
    "bassoon": "2 Fagotti",
    "horn": "2 Corni in C",
    "trumpet": "2 Trombe in C",
}


def _score(name: str) -> Path:
    require_corpora()
    (found,) = (p for folder in FOLDERS for p in score_files(folder) if p.stem == name)
    return found


def _written(table: ScoreTable, line: int) -> list[tuple[int, ...]]:
    rows = table.notes[table.notes["line"] == line]
    names = ("onset", "order", "wstep", "walter", "woctave", "duration")
    return sorted(tuple(int(row[n]) for n in names) for row in rows)


def _pairs(table: ScoreTable) -> list[tuple[int, int]]:
    firsts = table.first_readings
    return [
        (p.index, q.index)
        for p, q in pairwise(firsts)
        if p.instrument == q.instrument in _LABELS and p.players == (1,) and q.players == (2,)
    ]


@pytest.mark.corpora
@pytest.mark.parametrize("as_printed", [False, True], ids=["two voices", "as printed"])
@pytest.mark.parametrize("name", NAMES)
def test_a_pair_on_one_staff(name: str, as_printed: bool):
    canonical = oracle.canonical_of(_score(name))
    apart = read(canonical)
    pairs = _pairs(apart)
    assert len(pairs) >= 4
    for first, second in pairs:
        label = _LABELS[apart.first_readings[first].instrument]
        together = read(merged(canonical, first, second, label, as_printed=as_printed))
        assert len(together.lines) == 2
        assert [line.players for line in together.lines] == [1, 2]
        assert not (together.notes["players"] == UNKNOWN_PLAYERS).any()
        for own, line in ((first, 0), (second, 1)):
            (mine,) = (n.index for n in apart.lines if n.part == own)
            assert _written(together, line) == _written(apart, mine), together.lines[line].name


@pytest.mark.corpora
def test_the_printed_way_really_uses_all_ways():
    """Chords, a 2, single players and two voices all occur, else the test above says little."""
    words: set[str] = set()
    kinds: set[str] = set()
    for name in NAMES:
        canonical = oracle.canonical_of(_score(name))
        apart = read(canonical)
        for first, second in _pairs(apart):
            label = _LABELS[apart.first_readings[first].instrument]
            data = merged(canonical, first, second, label, as_printed=True)
            words |= {m.text for m in read(data).marks if m.kind == "players"}
            kinds |= {tag for tag in ("chord", "backup") if f"<{tag}".encode() in data}
    assert words >= {"a 2", "1.", "2."}
    assert kinds == {"chord", "backup"}
