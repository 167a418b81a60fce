"""Textures and layers on hand-made tables, with near-misses.

Sources: trade facts 6.2 (the words and what they mean), job 6, examples 23 and 25; the limits are
common practice, no source.
"""

import pytest

from analysis.engine.analyses import layers, textures, weave
from analysis.engine.claims.schema import read_claim
from analysis.engine.export import claim_json
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table
from .changes import reordered, ties_split, transposed, with_a_silent_part

S = Settings()
TUNE = "G5 q. A5 e B5 q G5 | A5 q. B5 e C6 q A5 | B5 q D6 C6 A5 | G5 q B5 A5 F#5"


def down(text, octaves=1):
    return "".join(str(int(c) - octaves) if c.isdigit() else c for c in text)


def said(lines, **more):
    t = table(lines, **more)
    return [(f.value["texture"], f.first, f.last) for f in textures.find_textures(t, S)]


ONE_LINE = {"Fl": TUNE, "Vl I": down(TUNE), "Vc": down(TUNE, 2), "Cb": down(TUNE, 3)}
HELD = {
    "Ob 1": "E5 w | D5 w | C5 w | B4 w",
    "Ob 2": "C5 w | B4 w | A4 w | G4 w",
    "Cor in C": "G4 w | G4 w | E4 w | D4 w",
    "Vc": "C3 w | G2 w | A2 w | G2 w",
}
CHORALE = {
    "Vl I": "E5 q F5 G5 E5 | D5 q E5 F5 D5 | C5 q D5 E5 F5 | D5 q C5 B4 C5",
    "Vl II": "C5 q D5 E5 C5 | B4 q C5 D5 B4 | A4 q B4 C5 D5 | B4 q A4 G4 G4",
    "Vla": "G4 q A4 B4 G4 | G4 q G4 A4 G4 | E4 q G4 G4 A4 | G4 q F4 D4 E4",
    "Vc": "C3 q F3 E3 C3 | G3 q C3 D3 G2 | A2 q G2 C3 D3 | G2 q A2 G2 C3",
}
BEATS = "r e B3+D4 r B3+D4 r B3+D4 r B3+D4"
SONG = {
    "Fl": " | ".join([TUNE, TUNE]),
    "Vl II": " | ".join(["G4 e G4 G4 G4 G4 G4 G4 G4"] * 8),
    "Vla": " | ".join([BEATS] * 8),
    "Vc": " | ".join(["G2 h D3", "A2 h D3", "G2 h D3", "G2 h D3"] * 2),
}


def test_everybody_in_octaves_is_a_single_line():
    t = table(ONE_LINE)
    (found,) = textures.find_textures(t, S)
    assert found.value == {"kind": "texture", "parts": [], "texture": "single-line"}
    assert (found.first, found.last) == (0, 3)
    assert render(found.sentence) == "b. 1–4: a single line, no harmony: Fl, Vl I, Vc and Cb."
    assert read_claim(claim_json(t, found)).kind == "texture"
    assert [len(e.ids) for e in found.evidence] == [12] * 4


def test_a_third_beneath_is_no_single_line():
    third = "E5 q. F#5 e G5 q E5 | F#5 q. G5 e A5 q F#5 | G5 q B5 A5 F#5 | E5 q G5 F#5 D5"
    assert "single-line" not in {word for word, *_ in said({**ONE_LINE, "Vl I": third})}


def test_held_chords_and_one_line_that_moves():
    assert said(HELD) == [("held-chords", 0, 3)]
    moving = {**HELD, "Vc": "C3 q D3 E3 F3 | G3 q F3 E3 D3 | A2 q B2 C3 D3 | G2 q A2 B2 G2"}
    assert "held-chords" not in {word for word, *_ in said(moving)}
    two = {name: text for name, text in HELD.items() if name in {"Ob 1", "Vc"}}
    assert "held-chords" not in {word for word, *_ in said(two)}  # two notes are no chord


def test_a_chorale_and_chords_that_only_repeat():
    assert said(CHORALE) == [("chorale", 0, 3)]
    still = {name: " | ".join([text.split()[0] + " q" + f" {text.split()[0]}" * 3] * 4)
             for name, text in CHORALE.items()}  # fmt: skip
    assert "chorale" not in {word for word, *_ in said(still)}


def test_a_tune_with_accompaniment_and_its_layers():
    t = table(SONG)
    found = textures.find_textures(t, S)
    assert [(f.value["texture"], f.first, f.last) for f in found] == [
        ("melody-accompaniment", 0, 7)
    ]
    assert 0.5 < found[0].confidence < 1
    made = {layer.role: layer.lines for layer in layers.layers(t, t.movements[0], 0, 7)}
    assert made["melody"] == (0,)
    assert "melody Fl" in render(found[0].sentence)
    assert set().union(*made.values()) <= {0, 1, 2, 3}


def test_repeated_notes_without_a_tune():
    lines = {
        "Vl II": " | ".join(["G4 e" + " G4" * 7] * 4),
        "Vla": " | ".join(["E4 e" + " E4" * 7] * 4),
        "Vc": " | ".join(["C3 e" + " C3" * 7] * 4),
    }
    assert said(lines) == [("pulse", 0, 3)]


def test_voices_of_equal_weight():
    lines = {
        "Vl I": "r q B5 q. A5 e G5 q | F#5 e G5 A5 q B5 q. A5 e | G5 q F#5 q. E5 e D5 q",
        "Vl II": "D5 e E5 F#5 G5 E5 F#5 G5 A5 | D5 q C5 B4 e C5 D5 E5 | B4 e C5 D5 E5 C5 D5 E5 F#5",
        "Vla": "G4 q. F#4 e E4 q D4 | C4 e D4 q E4 F#4 q. | E4 q. F#4 e G4 q A4",
        "Vc": "G3 q F#3 E3 D3 | C3 q D3 E3 F#3 | G3 q A3 B3 G3",
    }
    found = said(lines)
    assert ("part-writing", 0, 2) in found


#: job 6, example 23: entries one bar apart, each a fifth lower
SUBJECT = "G5 q. A5 e B5 q C6 | D6 q C6 e B5 A5 q B5 | G5 w"
FIFTH = "C5 q. D5 e E5 q F5 | G5 q F5 e E5 D5 q E5 | C5 w"
TWO_FIFTHS = "F4 q. G4 e A4 q Bb4 | C5 q Bb4 e A4 G4 q A4 | F4 w"
ENTRIES = {
    "Vl I": f"{SUBJECT} | G5 w | G5 w",
    "Vl II": f"r | {FIFTH} | C5 w",
    "Vla": f"r | r | {TWO_FIFTHS}",
}


def test_entries_that_overlap_are_imitation():
    t = table(ENTRIES)
    found = [f for f in textures.find_textures(t, S) if f.value["texture"] == "imitation"]
    ((first, last),) = {(f.first, f.last) for f in found}
    assert (first, last) == (0, 4)
    assert render(found[0].sentence) == (
        "b. 1–5: imitation; Vl I, Vl II and Vla follow each other with one figure."
    )


@pytest.mark.parametrize(
    "second",
    [
        "r | C5 q D5 E5 F5 | G5 h F5 | E5 q D5 C5 B4 | C5 w",  # another figure
        f"r | r | r | r | {FIFTH}",  # after the first is over
        FIFTH + " | r | r",  # together with it
    ],
)
def test_what_is_no_imitation(second):
    lines = {"Vl I": f"{SUBJECT} | r | r | r | r", "Vl II": second}
    assert "imitation" not in {word for word, *_ in said(lines)}


def test_taking_turns_is_dialogue():
    call, rest = "G5 q. A5 e B5 q C6 | D6 h r", "r | r"
    lines = {
        "Ob": f"{call} | {rest} | {call} | {rest}",
        "Cl": f"{rest} | {down(call)} | {rest} | {down(call)}",
    }
    lines = {k: v.replace("D6 h r", "D6 q C6 B5 A5").replace("D5 h r", "D5 q C5 B4 A4")
             for k, v in lines.items()}  # fmt: skip
    found = [x for x in said(lines) if x[0] == "dialogue"]
    assert found == [("dialogue", 0, 7)]
    once = {"Ob": f"{call} | {rest}", "Cl": f"{rest} | {down(call)}"}
    assert "dialogue" not in {word for word, *_ in said(once)}


@pytest.mark.parametrize("lines", [ONE_LINE, HELD, CHORALE, SONG, ENTRIES])
@pytest.mark.parametrize(
    "change", [reordered, with_a_silent_part, ties_split, lambda x: transposed(x, 2)]
)
def test_what_leaves_the_music_the_same_leaves_the_textures(lines, change):
    assert said(change(lines)) == said(lines) != []


def test_alike_in_rhythm_and_in_notes():
    t = table({"Fl": "G5 q A5 B5 C6", "Ob": "G4 q A4 B4 C5", "Fg": "G3 q F3 E3 D3", "Vc": "C3 w"})
    woven = weave.weave(t, t.movements[0])
    assert weave.first_of_group(woven.rhythm).tolist() == [[0, 0, 0, 3]]
    assert weave.first_of_group(woven.doubled).tolist() == [[0, 0, 2, 3]]
    assert woven.chord.tolist() == [0.5]  # G and C; A, F, C; B, E, C; C and D


@pytest.mark.parametrize("text", ["r", "x w", "C5 w", "(C5) r"])
def test_hardly_anything(text):
    assert said({"Fl": text}) == []
