"""Pedals: planted ones and what only looks like one. Common practice, no source."""

import pytest

from analysis.engine.analyses import pedals
from analysis.engine.claims.schema import read_claim
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table

S = Settings()

#: C, F minor with its sixth, G7, C over a held C
TONIC = {
    "Vl": "E5 w | F5 w | D5 w | E5 w",
    "Vla": "G4 w | Ab4 w | B4 w | C5 w",
    "Fg": "C4 w | C4 w | G4 w | G4 w",
    "Vc": "C3~ w | C3~ w | C3~ w | C3 w",
}
#: a bass that stands on the dominant under V, I six-four, V7, I six-four, ...
STANDING = {
    "Vl": "B4 w | C5 w | B4 w | C5 w | B4 w | C5 w",
    "Vla": "D4 w | E4 w | F4 w | E4 w | D4 w | E4 w",
    "Vc": "G2 q G2 G2 G2 | " * 5 + "G2 q G2 G2 G2",
}


def found(lines, **settings):
    out = pedals.find_pedals(table(lines), Settings(**settings))
    for f in out:
        read_claim({**f.value, "bars": ["1"]})
    return [(f.value["pitch"], f.value["parts"], f.first, f.last) for f in out]


def test_a_tonic_pedal_held_under_a_foreign_chord():
    assert found(TONIC) == [("C3", ["P4"], 0, 3)]
    (f,) = pedals.find_pedals(table(TONIC), S)
    words = render(f.sentence)
    assert words.startswith("b. 1–4: a tonic pedal in the bass on C3 in Vc, held, through C major")
    assert words.endswith("F minor and G major; G major does not contain the note.")
    assert f.evidence[0].ids[0] == "n3-0-0"


def test_a_bass_that_stands_on_the_dominant():
    assert found(STANDING) == [("G2", ["P3"], 0, 5)]
    (f,) = pedals.find_pedals(table(STANDING), S)
    assert "repeated" in render(f.sentence)
    assert f.confidence < 0.85


@pytest.mark.parametrize(
    "change",
    [
        {"Vc": "C3 w | C3 w | G2 w | C3 w"},  # the bass moves
        dict.fromkeys(("Vl", "Vla"), "G4 w | G4 w | G4 w | G4 w") | {"Fg": "E4 w | " * 3 + "E4 w"},
        {"Vc": "C3 w | C3 w | r | C3 w"},  # it rests where the foreign chord sounds
    ],
)  # fmt: skip
def test_near_misses(change):
    assert [p for p in found(TONIC | change) if p[0].startswith("C")] == []


def test_a_common_tone_of_an_inner_part_is_no_pedal():
    lines = {
        "Vl": "E5 w | F5 w | D5 w | E5 w",
        "Vla": "G4 w | G4 w | G4 w | G4 w",
        "Vc": "C3 w | B2 w | B2 w | C3 w",
    }
    assert found(lines) == []


def test_who_has_it_together():
    more = {"Cor in C": "C4~ w | C4~ w | C4~ w | C4 w", "Cb": "C2 w | C2 w | C2 w | C2 w"}
    assert found({**TONIC, **more}) == [("C", ["P4", "P5", "P6"], 0, 3)]


def test_the_length_is_the_tutors_to_set():
    short = {k: " | ".join(v.split(" | ")[:3]) for k, v in TONIC.items()}
    short["Vc"] = "C3~ w | C3~ w | C3 w"
    assert len(found(short)) == 1
    assert found(short, pedal_min_bars=4) == []


def test_it_moves_with_the_music_and_needs_no_order():
    up = {  # a tone higher, by hand where letters do not do
        "Vl": "F#5 w | G5 w | E5 w | F#5 w",
        "Vla": "A4 w | Bb4 w | C#5 w | D5 w",
        "Fg": "D4 w | D4 w | A4 w | A4 w",
        "Vc": "D3~ w | D3~ w | D3~ w | D3 w",
    }
    assert found(up) == [("D3", ["P4"], 0, 3)]
    assert found(dict(reversed(TONIC.items()))) == [("C3", ["P1"], 0, 3)]
    assert found({**TONIC, "Fl": "r | r | r | r"}) == [("C3", ["P4"], 0, 3)]


def test_struck_again_or_tied_is_one_pedal():
    struck = {**TONIC, "Vc": "C3 h C3 | C3 h C3 | C3 q C3 C3 C3 | C3 w"}
    assert found(struck) == [("C3", ["P4"], 0, 3)]


@pytest.mark.parametrize("lines", [{"Timp": "x w"}, {"Fl": "r"}, {"Vc": "C3~ w | C3~ w | C3 w"}])
def test_hardly_anything(lines):
    assert found(lines) == []
