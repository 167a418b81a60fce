"""Short scores of bars one can count: what stays, what goes, how it is written.

Expected values are argued from the notes (common practice, no source).
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from lxml import etree

from analysis.engine.claims.speech import render
from analysis.engine.model import Mark
from analysis.engine.reduce import reduced
from analysis.engine.reduce.lengths import split

from ..describe.test_describe import BASS, DEEP, HELD, HIGH, TUNE, role
from ..tables import midi, table
from .outside import parsed

F = Fraction


def short(lines, roles, **more):
    t = table(lines, **more)
    n = {line.name: line.index for line in t.lines}
    found = [role(t, n[name], word, 0, len(t.bars) - 1) for name, word in roles.items()]
    return t, reduced(t, 0, len(t.bars) - 1, found)


def test_octaves_of_the_melody_and_of_the_bass_are_left_out_and_told():
    lines = {"Fl": HIGH, "Vl I": TUNE, "Vla": HELD, "Vc": BASS, "Cb": DEEP}
    _, made = short(lines, {"Vl I": "melody", "Vc": "bass line", "Cb": "bass line"})
    staves = parsed(made.xml)
    assert [s.name for s in staves] == ["Melody", "Inner parts", "Bass"]
    assert min(a.pitch for a in staves[0].attacks) == midi("C5")
    assert max(a.pitch for a in staves[0].attacks) == midi("A5")
    assert {a.pitch for a in staves[2].attacks} == {midi(p) for p in ("C3", "G2", "B2", "F2")}
    assert [render(s) for s in made.sentences] == [
        "Melody: violins 1; left out, since they go with it: flute an octave higher.",
        "Inner parts: violas.",
        "Bass: cellos; left out, since they go with it: double basses an octave lower.",
    ]


def test_a_second_tune_has_a_staff_of_its_own():
    counter = "G4 h A4 q B4 | C5 h B4 q A4 | G4 q F4 E4 h | D4 h E4"
    lines = {"Vl I": TUNE, "Ob 1": counter, "Vla": HELD, "Vc": BASS}
    _, made = short(lines, {"Vl I": "melody", "Ob 1": "countermelody"})
    assert made.staves == ("melody", "tune", "inner", "bass")


def test_drums_are_left_out_and_told():
    lines = {"Fl": TUNE, "Timp": "C3 w | C3 w | C3 w | C3 w", "Vc": BASS}
    _, made = short(lines, {"Fl": "melody"})
    assert render(made.sentences[-1]) == "Left out altogether: timpani."


def test_a_note_over_a_bar_line_is_tied_and_no_second_attack():
    _, made = short({"Fl": "C5 h E5~ | E5 h D5", "Vc": "C3 w | G2 w"}, {"Fl": "melody"})
    top = parsed(made.xml)[0]
    assert [(a.bar, a.at, a.pitch) for a in top.attacks] == [
        (0, 0, midi("C5")), (0, 2, midi("E5")), (1, 2, midi("D5")),
    ]  # fmt: skip
    root = etree.fromstring(made.xml)
    ties = [t.get("type") for t in root.find("part").iter("tie")]
    assert ties == ["start", "stop"]


def test_a_note_held_into_the_passage_is_shown_as_held():
    t = table({"Fl": "C5~ w | C5 h D5", "Vc": "C3 w | G2 w"})
    made = reduced(t, 1, 1, [role(t, 0, "melody", 0, 1)])
    top = parsed(made.xml)[0]
    assert [a.pitch for a in top.attacks] == [midi("D5")]
    first = etree.fromstring(made.xml).find("part/measure/note")
    assert first.find("tie").get("type") == "stop"


@pytest.mark.parametrize(("time", "wanted"), [("3/4", ("3", "4")), ("6/8", ("6", "8"))])
def test_the_metre_is_the_scores(time, wanted):
    _, made = short({"Fl": "C5 q D5 e C5 q D5 e", "Vc": "C3 q G2"}, {"Fl": "melody"}, time=time)
    for part in etree.fromstring(made.xml).findall("part"):
        sign = part.find("measure/attributes/time")
        assert (sign.findtext("beats"), sign.findtext("beat-type")) == wanted


def test_the_key_signature_is_that_which_sounds():
    """Strings sign three flats; the B flat clarinet one, which is three flats sounding: -1 - 2."""
    t = table({"Cl": "Eb5 w", "Vl I": "G4 w", "Vc": "Eb3 w"})
    marks = tuple(
        Mark("key", part, 1, 0, 0, 0, "", fifths) for part, fifths in ((0, -1.0), (1, -3.0))
    )
    object.__setattr__(t, "marks", marks)
    root = etree.fromstring(reduced(t, 0, 0, []).xml)
    assert {k.text for k in root.iter("fifths")} == {"-3"}
    assert not list(root.iter("accidental"))


def test_an_accidental_stands_once_in_a_bar():
    _, made = short({"Fl": "F#5 q F#5 F5 F#5 | F5 w", "Vc": "C3 w | C3 w"}, {"Fl": "melody"})
    signs = [a.text for a in etree.fromstring(made.xml).find("part").iter("accidental")]
    assert signs == ["sharp", "natural", "sharp"]


def test_a_bass_has_a_bass_clef_and_a_high_line_a_treble_clef():
    _, made = short({"Fl": TUNE, "Vc": BASS}, {"Fl": "melody"})
    clefs = [
        part.findtext("measure/attributes/clef/sign") for part in
        etree.fromstring(made.xml).findall("part")
    ]  # fmt: skip
    assert clefs == ["G", "F"]


@pytest.mark.parametrize(
    ("start", "end", "beat", "wanted"),
    [
        (F(0), F(4), F(1), [(F(4), "whole", 0, None)]),
        (F(1, 2), F(3, 2), F(1), [(F(1), "quarter", 0, None)]),  # a syncopation
        (F(1, 4), F(5, 4), F(1), [(F(3, 4), "eighth", 1, None), (F(1, 4), "16th", 0, None)]),
        (F(0), F(1, 3), F(1), [(F(1, 3), "eighth", 0, (3, 2))]),
        (F(2, 3), F(4, 3), F(1), [(F(2, 3), "quarter", 0, (3, 2))]),  # a triplet of quarters
        (F(0), F(3, 2), F(3, 2), [(F(3, 2), "quarter", 1, None)]),
        (F(0), F(5, 2), F(1), [(F(1), "quarter", 0, None), (F(3, 2), "quarter", 1, None)]),
        (F(1, 5), F(2, 5), F(1), [(F(1, 5), "16th", 0, (5, 4))]),
    ],
)
def test_lengths_are_printed_as_values_one_can_read(start, end, beat, wanted):
    made = list(split(start, end, beat))
    assert sum(v.length for v in made) == end - start
    assert [(v.length, v.type, v.dots, v.tuplet) for v in made] == wanted


def test_a_low_violin_tune_keeps_its_treble_clef():
    """Two ledger lines are no reason to give violins a bass clef."""
    _, made = short(
        {"Vl I": "G3 q C4 B3 C4 | A3 h G3 q C4", "Vc": "C3 w | F2 w"}, {"Vl I": "melody"}
    )
    part = etree.fromstring(made.xml).find("part")
    assert [c.findtext("sign") for c in part.iter("clef")] == ["G"]
