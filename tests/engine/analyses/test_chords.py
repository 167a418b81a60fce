"""Chords at telling places. The planted places are read from the tables; common practice."""

import pytest

from analysis.engine.analyses import chords
from analysis.engine.claims.schema import read_claim
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table

S = Settings()


def found(lines, **settings):
    t = table(lines)
    return chords.find_chords(t, Settings(**settings))


def said(lines):
    return [render(f.sentence) for f in found(lines)]


OPENING = {
    "Fl": "C5 w | B4 w",
    "Ob": "G4 w | G4 w",
    "Fg": "E3 w | D3 w",
    "Vl": "C6 q E6 G6 C6 | B5 q D6 G6 B5",
    "Vc": "C3 w | G2 w",
}


def test_the_first_chord_and_who_has_what():
    first = found(OPENING)[0]
    assert first.value == {
        "kind": "chord",
        "parts": [],
        "root": "C",
        "quality": "major",
        "inversion": 0,
        "member": {"P1": "root", "P2": "fifth", "P3": "third", "P4": "root", "P5": "root"},
    }
    assert render(first.sentence).startswith(
        "b. 1: the first chord is C major in root position: root in Fl, Vl and Vc, third in Fg "
        "alone, fifth in Ob alone"
    )
    assert first.evidence[0].ids == ("n0-0-0", "n1-0-0", "n2-0-0", "n3-0-0", "n4-0-0")


def test_the_last_chord():
    last = found(OPENING)[-1]
    assert last.sentence.template == "chord.last"
    assert render(last.sentence).startswith("b. 2, beat 4: the last chord is G major in root")
    ending = {k: f"{v} | C4 w" for k, v in OPENING.items()}
    templates = [f.sentence.template for f in found(ending)]
    assert "chord.last" not in templates  # a unison is no chord


def test_unisons_and_fifths_before_it_are_no_chords():
    lines = {k: "C4 w | " + v for k, v in OPENING.items()}
    assert render(found(lines)[0].sentence).startswith("b. 2: the first chord is C major")
    fifths = {"Fl": "G4 w", "Ob": "C4 w", "Vc": "C3 w"}
    assert found(fifths) == []


WINDS = {
    "Fl": "r | Eb5 w | r",
    "Ob 1": "r | C5 w | r",
    "Ob 2": "r | A4 w | r",
    "Fg": "r | F#3 w | r",
    "Vl": "B5 q A5 B5 C6 | r | G5 w",
    "Vla": "D4 w | r | r",
    "Vc": "G3 h B3 | r | r",
}


def test_a_chord_held_by_the_winds():
    (one,) = [w for w in said(WINDS) if "hold" in w]
    assert one.startswith(
        "b. 2: the winds hold a diminished seventh on F sharp in root position: root in Fg alone, "
        "third in Ob 2 alone, fifth in Ob 1 alone, seventh in Fl alone"
    )


@pytest.mark.parametrize(
    "change",
    [
        {"Fl": "r | Eb5 h Eb5 | r", "Ob 1": "r | C5 h C5 | r"},  # struck again: too few hold
        {"Ob 2": "r | r | r"},  # three lines
    ],
)
def test_near_misses_of_a_held_chord(change):
    assert not [w for w in said(WINDS | change) if "hold" in w]


def test_a_shorter_held_chord_if_the_tutor_says_so():
    winds = ("Fl", "Ob 1", "Ob 2", "Fg")
    lines = {k: v.replace(" w", " h") if k in winds else v for k, v in WINDS.items()}
    assert len(found(lines)) < len(found(lines, chord_held_bars=0.5))


def test_a_tutti_chord_is_no_chord_of_the_winds():
    lines = {"Fl": "C5 w", "Ob": "G4 w", "Fg": "E3 w", "Vl": "E5 w", "Vc": "C3 w"}
    lines = {k: "r | " + v for k, v in lines.items()} | {"Vla": "D4 q E4 F4 D4 | C4 w"}
    (one,) = found(lines)
    assert one.sentence.template == "chord.first"
    twice = {k: v + " | " + v.split("| ")[1] for k, v in lines.items()}
    assert [f.sentence.template for f in found(twice)] == ["chord.first", "chord.last"]


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        ({"Vl": "G5 w", "Vla": "E5 w", "Vc": "C5 w", "Cb": "C3 w"}, "strings in close position"),
        ({"Vl": "E5 w", "Vla": "G4 w", "Vc": "C4 w", "Cb": "C2 w"}, "strings in open position"),
        (
            {"Fl 1": "G5 w", "Fl 2": "C5 w", "Ob 1": "E5 w", "Ob 2": "G4 w", "Fg": "C3 w"},
            "flutes and oboes interlocked",
        ),
        (
            {"Fl 1": "C6 w", "Fl 2": "G5 w", "Ob 1": "E5 w", "Ob 2": "C5 w", "Fg": "C3 w"},
            "flutes and oboes stacked",
        ),
        (
            {"Fl 1": "C6 w", "Fl 2": "C5 w", "Ob 1": "G5 w", "Ob 2": "E5 w", "Fg": "C3 w"},
            "flutes and oboes enclosed",
        ),
    ],
)
def test_how_it_is_laid_out(lines, words):
    # Rimsky-Korsakov, Principles of Orchestration (1922), ch. III: overlaying, crossing, enclosure
    assert words in said(lines)[0]


def test_values_are_claims():
    for lines in (OPENING, WINDS):
        for f in found(lines):
            claim = read_claim({**f.value, "bars": ["1"]})
            assert claim.kind == "chord"


def test_reordering_parts_leaves_the_chord():
    one, other = (
        {(f.first, f.value["root"], f.value["quality"], f.value["inversion"]) for f in found(x)}
        for x in (WINDS, dict(reversed(WINDS.items())))
    )
    assert one == other
