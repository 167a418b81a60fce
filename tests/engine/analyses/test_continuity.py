"""Breath and fragments on hand-made tables.

Sources: trade facts 1.4 (winds must breathe, strings need not); how long a breath lasts, and what
is a fragment: common practice, no source. Tempo of the tables: 92 quarters a minute, 4/4.
"""

import pytest

from analysis.engine.analyses import continuity
from analysis.engine.claims.schema import read_claim
from analysis.engine.export import claim_json
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table
from .changes import reordered, ties_split, transposed, with_a_silent_part

S = Settings()
BAR = "G5 q A5 B5 C6"
LONG = " | ".join([BAR] * 10)  # 26 seconds
BITS = " | ".join(["D5 e E5 r q F5 e G5 r q"] * 4)


def said(lines):
    t = table(lines)
    return [
        (f.sentence.template, [t.lines[k].name for k in f.lines], f.first, f.last)
        for f in continuity.find_continuity(t, S)
    ]


def test_a_flute_without_a_rest():
    t = table({"Fl": LONG, "Vl I": LONG})
    (found,) = continuity.find_continuity(t, S)
    assert found.value == {"kind": "playing", "mode": "play", "parts": ["P1"]}
    assert (found.first, found.last, found.confidence) == (0, 9, 1.0)
    assert render(found.sentence) == (
        "b. 1–10: Fl has no written rest to breathe in for about 25 seconds (40 notes): "
        "look for where the phrase lets one breathe."
    )
    assert read_claim(claim_json(t, found)).kind == "playing"


@pytest.mark.parametrize(
    ("text", "known"),
    [
        (LONG.replace("C6", "r", 5).replace("r", "C6", 4), []),  # a rest of a beat in the middle
        (" | ".join([BAR] * 9), []),  # 23 seconds
        (" | ".join(["G5 q A5 B5 C6 t r t r e r s"] * 10), []),  # a rest in every bar
        (" | ".join(["G5. s r A5 r B5 r C6 r G5 r A5 r B5 r C6 r"] * 10), [0]),  # staccato
        (" | ".join(["G5~ w"] * 10), []),  # one note: held, no phrase
    ],
)
def test_what_lets_one_breathe(text, known):
    found = [f[2] for f in said({"Fl": text}) if f[0] == "playing.no-breath"]
    assert found == known


def test_the_tutor_says_how_long_a_breath_lasts():
    t = table({"Fl": LONG})
    assert continuity.find_continuity(t, Settings(breath_seconds=30.0)) == []
    short = table({"Fl": " | ".join([BAR] * 5)})
    assert continuity.find_continuity(short, S) == []
    assert len(continuity.find_continuity(short, Settings(breath_seconds=12.0))) == 1


def test_fragments_and_strokes():
    t = table({"Cl": BITS, "Vl I": BITS, "Vla": " | ".join(["D4 e r r q D4 e r r q"] * 4)})
    (found,) = continuity.find_continuity(t, S)
    assert found.value["parts"] == ["P1", "P2"]
    assert render(found.sentence) == (
        "b. 1–4: Cl and Vl I have only fragments: 8 bits of at most two notes between rests."
    )


def test_seven_bits_a_bar_of_rest_and_a_drum():
    assert said({"Cl": BITS.removesuffix("F5 e G5 r q")}) == []
    assert said({"Cl": BITS.replace(" | ", " | r | ", 2)}) == []
    assert said({"Timp": BITS}) == []


@pytest.mark.parametrize("lines", [{"Fl": LONG}, {"Cl": BITS}])
@pytest.mark.parametrize(
    "change", [reordered, with_a_silent_part, ties_split, lambda x: transposed(x, 2)]
)
def test_what_leaves_the_music_the_same_leaves_its_continuity(lines, change):
    assert said(change(lines)) == said(lines) != []


@pytest.mark.parametrize("text", ["r", "x w", "C5 w", "(C5) r"])
def test_hardly_anything(text):
    assert said({"Fl": text}) == []
