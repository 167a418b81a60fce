"""Reinforcement by attack, over several players, and of which notes, on hand-made tables.

Sources: trade facts 5.1 (partial doubling: first notes, accents, cadence, top notes), contract 3
(reinforcement: notes or beats, by pitch or accent); the limits are common practice, no source.
"""

import pytest

from analysis.engine.analyses import accents, reinforcement
from analysis.engine.claims.schema import read_claim
from analysis.engine.export import claim_json
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table
from .changes import reordered, ties_split, transposed, with_a_silent_part

S = Settings()
TUNE = " | ".join(
    ["G5 q. A5 e B5 q G5", "A5 q. B5 e C6 q A5", "B5 q D6 e C6 B5 q A5", "G5 q B5 A5 e G5 F#5 q"]
    * 2
)
#: under the tune, off its rhythm
HELD = " | ".join(["B3 w", "C4 w", "D4 w", "B3 w"] * 2)
STROKES = " | ".join(["D3 e r r h r q"] * 8)
DRUM = {"Vl I": TUNE, "Vla": HELD, "Timp": STROKES}


def said(lines):
    t = table(lines)
    return [
        (sorted(t.lines[k].name for k in f.lines), f.first, f.last, f.value.get("beats"))
        for f in accents.find_accents(t, S)
    ]


def test_a_drum_marks_the_tune():
    t = table(DRUM)
    found = [f for f in accents.find_accents(t, S) if 2 in f.lines]
    assert [f.value for f in found] == [
        {"kind": "reinforcement", "parts": ["P3"], "with": ["P1"], "by": "accent", "beats": [1.0]}
    ]
    assert (found[0].first, found[0].last, found[0].confidence) == (0, 7, 1.0)
    assert render(found[0].sentence) == (
        "b. 1–8: Timp strikes with Vl I on other notes, marking 8 of its 36 attacks: "
        "the strong beats."
    )
    assert read_claim(claim_json(t, found[0])).kind == "reinforcement"


def test_players_with_the_same_strokes_are_told_together():
    found = said({**DRUM, "Tr": STROKES.replace("D3", "D4")})
    assert (["Timp", "Tr", "Vl I"], 0, 7, [1.0]) in found


@pytest.mark.parametrize(
    "strokes",
    [
        " | ".join(["G3 e r r h r q", "A3 e r r h r q", "B3 e r r h r q", "G3 e r r h r q"] * 2),
        " | ".join(["r e D3 e r h r q"] * 8),  # off the tune's attacks
        " | ".join(["D3 q. D3 e D3 q D3"] * 8),  # along with most of them
        " | ".join(["D3 e r r h r q"] + ["r"] * 7),  # once
        " | ".join(["D3 w"] * 8),  # held, not struck
    ],
)
def test_what_is_no_accent(strokes):
    # the first is on the tune's own notes: support by pitch
    assert [f for f in said({**DRUM, "Timp": strokes}) if "Timp" in f[0]] == []


def test_strokes_that_vary_are_told_by_their_notes():
    varied = " | ".join(["D3 e r r h r q", "r h D3 e r r q"] * 4)
    t = table({**DRUM, "Timp": varied})
    (found,) = [f for f in accents.find_accents(t, S) if 2 in f.lines]
    assert len(found.value["notes"]) == 8
    assert set(found.value["notes"]) == set(found.evidence[-1].ids)


def test_players_who_support_the_same_notes():
    tops = " | ".join(["r h B5 q r", "r h D6 q r"])
    low = tops.replace("5", "4").replace("6", "5")
    tune = "G5 e A5 G5 A5 B5 C6 E5 F#5 | G5 e F#5 G5 A5 D6 C6 E5 D5"
    one = {"Vl I": tune, "Fl": tops, "Vla": "E4 w | E4 w"}
    three = {name: f"{text} | {text}" for name, text in {**one, "Ob": low}.items()}
    found = [f for f in reinforcement.find_reinforcements(table(three), S) if f.lines[-1] == 0]
    assert [f.value["parts"] for f in found] == [["P2", "P4"]]
    assert "Fl and Ob together support only some notes of Vl I (4 of 32 attacks" in render(
        found[0].sentence
    )


@pytest.mark.parametrize(
    "change", [reordered, with_a_silent_part, ties_split, lambda x: transposed(x, 2)]
)
def test_what_leaves_the_music_the_same_leaves_the_accents(change):
    assert said(change(DRUM)) == said(DRUM) != []


@pytest.mark.parametrize("text", ["r", "x w", "C5 w", "(C5) r"])
def test_hardly_anything(text):
    assert said({"Fl": text}) == []
