"""The sentences of whole movements: printed bars, the score's names, and no mechanical fault."""

from __future__ import annotations

import pytest

from analysis.engine.analyses import analyse
from analysis.engine.gate import admit
from analysis.engine.reader import read
from analysis.engine.sentences import render
from analysis.engine.telling import beside_bars, tell
from tests.corpora import require_corpora
from tests.demo.scores import path

from .lint import faults


def sentences(data: bytes, name: str):
    """(table, every sentence that the page can show of it)."""
    table = read(admit(data, name).canonical)
    found = analyse(table)
    said = {render(f.sentence) for f in found}
    for first, last in ((0, len(table.bars) - 1), (4, min(19, len(table.bars) - 1))):
        for item in tell(table, found, first, last).items():
            said |= {render(item.sentence), beside_bars(item.sentence)}
    return table, said


def wrong(table, said):
    lines = [line.name for line in table.lines] + [p.label for p in table.parts]
    bars = {b.label for b in table.bars}
    return {s: f for s in sorted(said) if (f := faults(s, lines=lines, bars=bars))}


@pytest.mark.parametrize("movement", [1, 2])
def test_the_demo_piece(movement):
    table, said = sentences(path(movement).read_bytes(), "demo.musicxml")
    assert len(said) > 300
    assert wrong(table, said) == {}


@pytest.mark.corpora
@pytest.mark.parametrize("name", ["Schubert_D.485_1", "Beach_Op.32_2"])
def test_open_scores(name):
    data = (require_corpora() / "scores" / f"{name}.mxl").read_bytes()
    table, said = sentences(data, f"{name}.mxl")
    assert len(said) > 1000
    assert wrong(table, said) == {}


BAD = {
    "b. 4: Oboe rests (None bars).": "a value of the program",
    "b. 4:  Oboe rests.": "spacing or stops",
    "b. 4: Oboe rests (1 bars).": "a plural of one",
    "b. 4: Oboe rests (2 bar).": "a singular of many",
    "b. 4: a open fifth in Oboe.": "a or an",
    "b. 4: an fifth in Oboe.": "a or an",
    "b. 4: Oboe and Flute rests.": "several rests",
    "b. 4: Oboe rest.": "one rest",
    "b. 99: Oboe rests.": "no bar 99",
    "b. 4: P7 rests.": "an id",
    "b. 4: Oboe rests": "no stop at the end",
    "b. 4: Oboe rests for for a bar.": "a word twice",
    "b. 4: Oboe has the onset.": "a word of the program",
    "b. 4: {parts} rests.": "a value of the program",
}


@pytest.mark.parametrize("text", BAD)
def test_the_lint_sees(text):
    assert BAD[text] in faults(text, lines=["Oboe", "Flute"], bars=["4"])


@pytest.mark.parametrize(
    "text",
    [
        "b. 4: Oboe and Flute double Bassoon one octave lower (4 of 4 attacks).",
        "b. 4: the winds hold an augmented triad on A flat: root in Oboe alone.",
        "What Oboe and Flute do is not clear, b. 4.",
        "b. 4: Oboe rests (16 bars).",
        "b. 4: a one-bar model in Oboe.",
    ],
)
def test_the_lint_lets_pass(text):
    assert faults(text, lines=["Oboe", "Flute", "Bassoon"], bars=["4"]) == []
