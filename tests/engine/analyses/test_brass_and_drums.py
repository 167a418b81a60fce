"""Natural brass and kettledrums against chords and keys.

Pitches: trade facts 3.4 (what a crook gives), 3.2 (usual partials by player), 4 (tunings by key,
Grove 1879); the tables are made by hand.
"""

import pytest

from analysis.engine.analyses import brass_chords, brass_joint, drums, open_tones
from analysis.engine.analyses.natural_brass import groups, natural
from analysis.engine.claims import answer_in, make_scene
from analysis.engine.claims.schema import read_claim
from analysis.engine.pitch import Key
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table
from .test_route_and_cadences import CLOSE, FIFTH, HOME, MINOR, piece

S = Settings()


def said(find, lines):
    return [render(f.sentence) for f in find(table(lines), S)]


def agrees(t, findings):
    """Contract 3: a finding's value fed back agrees."""
    scene = make_scene(t, findings)
    for f in findings:
        claim = {**f.value, "bars": [t.bars[f.first].label, t.bars[f.last].label]}
        read_claim(claim)
        if f.kind == "open-tones":
            assert answer_in(scene, claim).flag == "agrees", render(f.sentence)


HORNS = {
    "Cor in Eb 1": "Eb4 w | Eb4 w",
    "Cor in Eb 2": "Eb3 w | Bb3 w",
}
STRINGS = {"Vl": "C5 w | Bb4 w", "Vla": "G4 w | G4 w", "Vc": "C3 w | Eb3 w"}


def test_a_chord_and_what_each_horn_has_of_it():
    # trade facts 3.4: crook E flat gives Eb Bb G F D truly; C is partial 13, doubtful
    t = table({**HORNS, "Fl": "Eb5 w | Eb5 w", **STRINGS})
    f = brass_chords.find_brass_in_chords(t, S)[0]
    assert f.value == {
        "kind": "open-tones",
        "parts": [{"part": "P1", "player": 1}, {"part": "P1", "player": 2}],
        "pair": [{"part": "P1", "player": 1}, {"part": "P1", "player": 2}],
        "pitches": ["Eb", "G"],
    }
    assert render(f.sentence) == (
        "b. 1: of C minor (C, Eb, G) Cor in Eb 1 and Cor in Eb 2 each have Eb and G; C only out "
        "of tune. They play Eb."
    )
    agrees(t, [f])


def test_two_crooks_complete_each_other():
    # trade facts 3.4: Eb + C basso give all of C minor except Ab
    lines = {
        "Cor in Eb": "F4 w",
        "Cor in C": "C4 w",
        "Fl": "Ab5 w",
        "Vl": "C5 w",
        "Vc": "F3 w",
    }
    t = table(lines)
    (f,) = brass_chords.find_brass_in_chords(t, S)
    words = render(f.sentence)
    assert words.startswith("b. 1: of F minor (F, Ab, C) Cor in Eb has F, Cor in C has C; ")
    assert "together F and C" in words
    assert "Ab" not in f.value["pitches"]
    agrees(t, [f])


def test_low_horns_lack_the_third():
    # trade facts 3.2: the second player has partials 2 to 10 on the middle crooks, the first 4 to
    # 12; a fifth partial both have; the fifteenth (leading note) is too high for either
    lines = {
        "Cor in F 1": "C4 w",
        "Cor in F 2": "C4 w",
        "Fl": "E5 w",
        "Vl": "G4 w",
        "Vc": "C3 w",
    }
    (words,) = said(brass_chords.find_brass_in_chords, lines)
    assert "Cor in F 1 and Cor in F 2 each have C and G" in words


def test_keys_visited_and_each_crook():
    lines = piece(HOME, CLOSE, MINOR, MINOR, MINOR, HOME, CLOSE)
    bars = len(lines["Vc"].split("|"))
    rest = " | ".join(["r"] * (bars - 1))
    t = table({**lines, "Cor in C": f"C4 w | {rest}", "Tr in D": f"D4 w | {rest}"})
    found = brass_chords.find_brass_in_keys(t, S)
    words = [render(f.sentence).split(": ", 1)[1] for f in found]
    half, of = "C, G and B only out of tune.", "of the notes of tonic and dominant,"
    assert words == [
        "in C major the horn in C basso has every note of tonic and dominant: C, E, G, B and D.",
        f"in C major the trumpet in D has, {of} E and D; {half}",
        f"in C minor the horn in C basso has, {of} C, G, B and D, but no Eb.",
        f"in C minor the trumpet in D has, {of} D, but no Eb; {half}",
    ]
    agrees(t, found)


def test_horns_and_trumpets_on_one_note_are_told_together():
    bars = len(piece(HOME, CLOSE)["Vc"].split("|"))
    rest = " | ".join(["r"] * (bars - 1))
    brass = {"Cor in C": f"C4 w | {rest}", "Tr in C": f"C4 w | {rest}"}
    t = table({**piece(HOME, CLOSE), **brass})
    (f,) = brass_chords.find_brass_in_keys(t, S)
    assert "in C major the horn in C basso and the trumpet in C have every note" in render(
        f.sentence
    )
    assert f.value["parts"] == ["P5", "P6"]
    agrees(t, [f])


def test_a_part_for_valves_is_not_asked():
    t = table({"Cor in F": "F3 q Gb3 Ab3 A3 | Bb3 q B3 Db4 D4", "Vl": "C5 w | C5 w", **STRINGS})
    assert natural(t, S) == ()
    assert groups(t, S) == ()


#: horn in C two octaves below violin I: C E G are open there (partials 4 to 6), D F A are not
TUNE = "C5 q D5 E5 F5 | G5 q A5 G5 F5 | E5 q D5 E5 F5 | G5 q G5 C5 r"
WITH = "C3 q r E3 r | G3 q r G3 r | E3 q r E3 r | G3 q G3 C3 r"


def test_it_goes_with_the_line_where_its_notes_are_open():
    t = table({"Cor in C": WITH, "Vl": TUNE})
    (f,) = brass_joint.find_joint(t, S)
    assert f.value == {
        "kind": "open-tones",
        "parts": ["P1"],
        "crook": "C basso",
        "pitches": ["C3", "E3", "G3"],
        "missing": ["D3", "F3", "A3"],
    }
    assert render(f.sentence).endswith("only the former are open there.")
    agrees(t, [f])


@pytest.mark.parametrize(
    "horn",
    [
        "C3 q r r r | G3 q r r r | r | r q G3 C3 r",  # leaves out open notes
        "C3 q G2 E3 G2 | G3 q G2 G3 G2 | E3 q G2 E3 G2 | G3 q G3 C3 r",  # plays its own
        "C3 q r r r | r | r | r q r C3 r",  # too little of it
        "G3 q r G3 r | r q r r r | r | r",  # does not go with it at all
        "C4 q D4 E4 r | G4 q r G4 r | E4 q D4 E4 r | G4 q G4 C4 r",  # where only F and A are left
    ],
)
def test_near_misses_of_the_joint_finding(horn):
    assert brass_joint.find_joint(table({"Cor in C": horn, "Vl": TUNE}), S) == []


def test_an_oboe_is_no_natural_horn():
    assert brass_joint.find_joint(table({"Ob": WITH, "Vl": TUNE}), S) == []


@pytest.mark.parametrize(
    ("tonic", "pair", "word"),
    [  # trade facts 4, by key; a step above: neither
        (0, {7, 0}, "both"),
        (2, {9, 2}, "both"),
        (9, {9, 4}, "both"),
        (7, {7, 0}, "tonic"),
        (5, {7, 0}, "dominant"),
        (3, {7, 0}, ""),
    ],
)
def test_which_keys_a_pair_serves(tonic, pair, word):
    key = Key((0, 0, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)[tonic], -1 if tonic == 3 else 0, "major")
    assert drums.serves(frozenset(pair), key) == word


def test_a_tuning_and_the_keys_it_serves():
    lines = piece(HOME, CLOSE, FIFTH, FIFTH, FIFTH, HOME, CLOSE)
    bars = len(lines["Vc"].split("|"))
    stroke = "C3 q r r G2 q | " + " | ".join(["r"] * (bars - 1))
    t = table({"Timp": stroke, **lines})
    tuning = drums.find_drums(t, S)[0]
    assert tuning.value == {"kind": "open-tones", "parts": ["P1"], "pitches": ["G2", "C3"]}
    assert render(tuning.sentence) == (
        "b. 1–28: Timp is tuned to G2 and C3, tonic and dominant of C major. Of the keys visited, "
        "tonic and dominant are both there in C major; only the tonic is there in G major."
    )
    agrees(t, [tuning])
    scene = make_scene(t, [])
    claim = {"kind": "open-tones", "parts": ["P1"], "bars": ["1"]}
    assert answer_in(scene, {**claim, "missing": ["Ab"]}).flag == "agrees"
    assert answer_in(scene, {**claim, "pitches": ["C"]}).flag == "agrees"
    assert answer_in(scene, {**claim, "pitches": ["Ab"]}).flag == "conflicts"
    assert answer_in(scene, {**claim, "pitches": ["C2"]}).flag == "conflicts"


@pytest.mark.parametrize(
    ("strokes", "words"),
    [
        ("F2 q F3 F2 F3", "an octave apart"),
        ("C3 q C3 C3 C3", "uses one drum only"),
        ("C3 q G2 F2 C3", "more than a pair, or tuned anew"),
    ],
)
def test_other_sets_of_drums(strokes, words):
    assert words in said(drums.find_drums, {"Timp": strokes})[0]


def test_a_note_beyond_the_pair_is_told_with_its_place():
    strokes = "C3 q G2 C3 G2 | C3 q G2 C3 G2 | F2 q r r r | C3 q G2 C3 G2"
    words = said(drums.find_drums, {"Timp": strokes})[0]
    assert words.startswith(
        "b. 1–4: Timp plays F2, G2 and C3: more than a pair, or tuned anew (F2 in b. 3 only)."
    )


def test_the_drum_keeps_its_note_under_a_foreign_chord():
    lines = {
        "Timp": "C3 w | G2 q G2 G2 G2",
        "Vl": "G5 w | F5 w",
        "Vla": "E4 w | C5 w",
        "Vc": "C3 w | A3 w",
        "Cb": "C2 w | F2 w",
    }
    foreign = [f for f in drums.find_drums(table(lines), S) if f.kind == "chord"]
    assert [(f.first, f.value["root"], f.value["member"]) for f in foreign] == [
        (1, "F", {"P1": "foreign"})
    ]
    home = {**lines, "Timp": "C3 w | C3 w"}
    assert [f for f in drums.find_drums(table(home), S) if f.kind == "chord"] == []


def test_drums_of_each_movement_are_their_own():
    t = table({"Timp": "C3 q G2 r h || D3 q A2 r h"})
    assert drums.drum_pitches(t, 0, 0) == {48, 43}
    assert drums.drum_pitches(t, 0, 1) == {50, 45}
    assert drums.drum_pitches(table({"Fl": "C5 w"}), 0, 0) == frozenset()


@pytest.mark.parametrize("lines", [{"Timp": "x w"}, {"Cor in Eb": "r"}, {"Tr": "C4 w"}])
def test_hardly_anything(lines):
    t = table(lines)
    assert brass_chords.find_brass_in_chords(t, S) == []
    assert brass_joint.find_joint(t, S) == []
    assert drums.find_drums(t, S) == []
    assert open_tones.find_open_tones(t, S) == []
