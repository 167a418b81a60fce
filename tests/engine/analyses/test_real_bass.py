"""The real bass beat by beat. Common practice; the places are read from the tables."""

import pytest

from analysis.engine.analyses.real_bass import find_real_bass, real_bass
from analysis.engine.claims import answer_in, make_scene
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table

S = Settings()

LINES = {
    "Fg": "G3 w | C3 w | D3 w | E3 w | C4 w",
    "Vl": "E5 w | E5 w | F5 w | G5 w | G5 w",
    "Vla": "C4 w | G3 w | A3 w | C4 w | E4 w",
    "Vc": "C3 w | r | r | r | C3 w",
    "Cb": "C2 w | r | r | r | C2 w",
}


def said(lines):
    t = table(lines)
    found = find_real_bass(t, S)
    scene = make_scene(t, found)
    for f in found:
        claim = {**f.value, "bars": [t.bars[f.first].label, t.bars[f.last].label]}
        assert answer_in(scene, claim).flag == "agrees"
    return [render(f.sentence) for f in found]


def test_who_is_lowest_beat_by_beat():
    t = table({"Vla": "C4 q C3 C4 C4", "Vc": "E3 q E3 C4 D4", "Timp": "C2 w"})
    bass = real_bass(t)
    assert bass.pitch.tolist() == [52, 48, 60, 60]
    lowest = [[t.lines[i].name for i in bass.lines[:, k].nonzero()[0]] for k in range(4)]
    assert lowest == [["Vc"], ["Vla"], ["Vla", "Vc"], ["Vla"]]
    assert bass.elsewhere.tolist() == [False, True, False, True]


def test_the_bassoon_is_the_bass_where_the_basses_rest():
    assert said(LINES) == ["b. 2–4: Vc and Cb rest; the real bass is Fg."]


@pytest.mark.parametrize(
    "change",
    [
        {"Vc": "C3 w | r | C3 w | r | C3 w"},  # never two bars
        {"Fg": "r", "Vl": "E5 w | r | r | r | G5 w", "Vla": "C4 w | r | r | r | E4 w"},  # all rest
    ],
)
def test_near_misses(change):
    assert said(LINES | change) == []


def test_the_cellos_above_the_bassoon():
    lines = {**LINES, "Vc": "C3 w | G3 w | A3 w | C4 w | C3 w"}
    assert said(lines) == [
        "b. 2–4: the real bass is Fg: Vc sounds above it, although it stands below it on the page."
    ]


def test_without_strings_the_line_most_often_lowest():
    t = table({"Fl": "C5 w | C5 w", "Fg": "C3 w | C3 w", "Cor in F": "F3 w | F3 w"})
    assert real_bass(t).section == (1,)


def test_silent_parts_ties_and_order():
    silent = {**LINES, "Fl": "r | r | r | r | r"}
    tied = {**LINES, "Fg": "G3~ h G3 h | C3 w | D3~ q D3 q D3 h | E3 w | C4 w"}
    assert said(silent) == said(tied) == said(LINES)
    assert said(dict(reversed(LINES.items()))) == ["b. 2–4: Cb and Vc rest; the real bass is Fg."]


@pytest.mark.parametrize("lines", [{"Timp": "x w"}, {"Timp": "C3 w"}, {"Fl": "r"}])
def test_hardly_anything(lines):
    assert find_real_bass(table(lines), S) == []
