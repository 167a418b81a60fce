"""Natural brass and drums (trade facts 2.2-2.4, 3.1-3.4, 4), through files where that is asked."""

from __future__ import annotations

from itertools import pairwise

import pytest

from analysis.engine.instruments import brass, crooks, propose, timpani
from analysis.engine.pitch import midi
from tests.engine.reader.reading import plays
from tests.engine.written import Part, table

HORNS = [c for c in crooks.table("horn") if -16 <= c.semitones <= 0]


def crook(name: str):
    return next(c for c in crooks.table("horn") if c.name == name)


# --- partials ------------------------------------------------------------------------------

#: written pitches, C series (computed; acoustics texts): truly open, doubtful
OPEN = ["C3", "G3", "C4", "E4", "G4", "C5", "D5", "E5", "G5", "B5", "C6"]
DOUBTFUL = ["Bb4", "F5", "F#5", "Ab5", "A5", "Bb5"]


@pytest.mark.parametrize("each", HORNS, ids=lambda c: c.name)
def test_written_checklist_on_every_crook(each):
    """From C3 to C6 nothing is open but these, in whatever crook."""
    for written in range(midi("C3"), midi("C6") + 1):
        tone = brass.tone(written + each.semitones, each)
        if written in {midi(n) for n in OPEN}:
            assert tone.openness == "open"
        elif written in {midi(n) for n in DOUBTFUL}:
            assert tone.openness == "doubtful"
        else:
            assert tone.openness == "not open"


@pytest.mark.parametrize("each", HORNS, ids=lambda c: c.name)
def test_horn_fifths_are_open_throughout(each):
    for pair in (("C5", "E5"), ("G4", "D5"), ("E4", "C5")):
        assert {brass.tone(midi(n) + each.semitones, each).openness for n in pair} == {"open"}


def test_low_horns_have_fifths_thirds_come_at_e4_and_the_scale_at_c5():
    tones = sorted(brass.open_tones("horn", crook("C alto")))  # written = sounding
    below = [t for t in tones if t < midi("E4")]
    assert [b - a for a, b in pairwise(below)] == [7, 5]
    first_step = next(a for a, b in pairwise(tones) if b - a <= 2)
    assert first_step == midi("C5")


#: (crook, first player, second player): partials in use (Prout, Forsyth, Berlioz, from memory)
USUAL = [
    *((name, (4, 12), (2, 10)) for name in ("Bb alto", "A", "Ab", "G", "F", "E", "Eb", "D")),
    *((name, (4, 16), (3, 12)) for name in ("C basso", "Bb basso")),
]


@pytest.mark.parametrize(("name", "first", "second"), USUAL)
def test_partials_in_use(name, first, second):
    assert brass.usual_partials("horn", crook(name), 1) == first
    assert brass.usual_partials("horn", crook(name), 2) == second
    assert brass.usual_partials("horn", crook(name), 3) == first  # third and fourth as a new pair


def test_partials_of_the_trumpet_and_what_is_accepted():
    trumpet = next(c for c in crooks.table("trumpet") if c.name == "D")
    assert brass.usual_partials("trumpet", trumpet, 1) == (4, 12)
    assert brass.usual_partials("trumpet", trumpet, 2) == (3, 10)
    assert brass.partial_limits("horn") == (2, 16)  # the first is a freak
    assert brass.partial_limits("trumpet") == (3, 16)  # the two lowest do not speak
    for kind, each in (("horn", crook("Eb")), ("trumpet", trumpet)):
        assert crooks.fundamental(each) not in brass.open_tones(kind, each, doubtful=True)


# --- names and old habits ------------------------------------------------------------------


@pytest.mark.parametrize("label", ["Corni in C", "Cors en Ut", "Hörner in C", "Horns in C"])
def test_in_c_without_more_is_basso(label):
    assert (propose(label).crook, propose(label).transposition) == ("C basso", -12)


@pytest.mark.parametrize(
    ("transpose", "sounding"),
    [((-12, -7), "C2 G2 C3 G3 C4 E4"), ((-10, -6), "D2 A2 D3 A3 D4 F#4")],
)
def test_groves_worked_example_of_the_bass_clef(transpose, sounding):
    """Grove (1879), p. 750: bass-clef C2 G2, then treble; the two halves differ by twelve."""
    name = "C" if transpose[0] == -12 else "D"
    horn = Part(
        f"Corno II in {name}", "C2 q G2 r h | clef:G2 C4 q G4 C5 E5", clef="F4", transpose=transpose
    )
    t = table(horn, Part("Violino I", "C5 w | C5 w"))
    assert t.first_readings[0].old_bass_clef
    assert t.first_readings[0].doubt is not None  # the tutor is asked
    line = next(x.name for x in t.lines if x.instrument == "horn")
    assert " ".join(plays(t, line).values()).replace("?", "") == sounding


def test_a_cello_in_the_treble_clef_after_the_bass_clef_is_asked_about():
    old = Part("Violoncello", "C3 w | clef:G2 C6 q E6 G6 E6", clef="F4")
    t = table(old, Part("Violino I", "C5 w | C5 w"))
    reading = t.first_readings[0]
    assert reading.doubt is not None
    assert "octave" in reading.doubt.text
    tenor = table(Part("Violoncello", "C3 w | clef:C4 C4 q E4 G4 E4", clef="F4"))
    assert tenor.first_readings[0].doubt is None


def test_old_drums_written_c_and_g_sound_what_the_label_says():
    old = Part("Timpani in Es-B", "C3 q G2 C3 G2", clef="F4")
    t = table(old, Part("Violino I", "Eb5 w"))
    assert plays(t, "Timpani in Es-B")["1"].replace("?", "") == "Eb3 Bb2 Eb3 Bb2"
    assert t.first_readings[0].doubt is not None
    modern = table(Part("Timpani in Es-B", "Eb3 q Bb2 Eb3 Bb2", clef="F4"))
    assert plays(modern, "Timpani in Es-B")["1"] == "Eb3 Bb2 Eb3 Bb2"
    assert modern.first_readings[0].doubt is None


# --- drums -----------------------------------------------------------------------------------


def test_a_drum_has_a_fifth_and_the_pair_an_octave():
    assert (midi("F2"), midi("C3")) == timpani.LARGE
    assert (midi("Bb2"), midi("F3")) == timpani.SMALL
    for low, high in (timpani.LARGE, timpani.SMALL):
        assert high - low == 7
    assert timpani.SMALL[1] - timpani.LARGE[0] == 12


def test_every_key_has_its_pair_and_only_f_and_b_flat_have_two():
    ways = {tonic: len(timpani.tunings(tonic)) for tonic in range(12)}
    assert {t for t, n in ways.items() if n == 2} == {5, 10}
    assert set(ways.values()) == {1, 2}
