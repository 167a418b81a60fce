"""Crossings, ranges, registers, parallels and reinforcement on hand-made tables.

Sources: trade facts 1.1 (registers), 5.1 (parallels), 6.2 (a crossing lasts 2 notes or a beat),
12; job 6, examples 5, 11, 15, 16, 19.
"""

import pytest

from analysis.engine.analyses import crossing, parallel, ranges, reinforcement
from analysis.engine.model import TICKS
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import midi, table

S = Settings()
TUNE = "G5 q A5 B5 C6 | D6 q C6 B5 A5 | G5 q F#5 E5 D5 | G5 q B5 A5 G5"
THIRDS = "E5 q F#5 G5 A5 | B5 q A5 G5 F#5 | E5 q D5 C5 B4 | E5 q G5 F#5 E5"


def words(found):
    return [render(f.sentence) for f in found]


# --- crossings ----------------------------------------------------------------


def test_violas_cross_above_second_violins():
    t = table({"Vl II": "G4 w | D4 q E4 D4 C4 | G4 w", "Vla": "C4 w | C4 q F4 F4 B3 | C4 w"})
    (found,) = crossing.crossings(t, 0, 1, S)
    assert (found.start, found.end) == (5 * TICKS, 7 * TICKS)
    assert (found.notes, found.dip) == (2, False)
    (finding,) = crossing.find_crossings(t, S)
    assert finding.value == {"kind": "crossing", "parts": [], "upper": "P1", "lower": "P2"}
    assert words([finding]) == [
        "b. 2, beat 2 – b. 2, beat 3: Vla crosses above Vl II (2 notes)."
    ] or words([finding]) == ["b. 2, beat 2: Vla crosses above Vl II (2 notes)."]


def test_a_single_short_note_is_a_dip_and_a_whole_beat_is_not():
    dip = table({"Vl II": "D4 w", "Vla": "C4 q. E4 e C4 h"})
    assert [c.dip for c in crossing.crossings(dip, 0, 1, S)] == [True]
    beat = table({"Vl II": "D4 w", "Vla": "C4 q E4 q C4 h"})
    assert [c.dip for c in crossing.crossings(beat, 0, 1, S)] == [False]


def test_rests_and_unisons_do_not_cross():
    t = table({"Vl II": "D4 h r h | D4 w", "Vla": "C4 h E4 h | D4 w"})
    assert crossing.crossings(t, 0, 1, S) == []


def test_horns_over_trumpets_on_the_page_mean_nothing():
    t = table({"Cor": "F3 w | F3 w", "Tr": "C5 w | C5 w"})
    assert crossing.neighbours(t) == []


# --- ranges -------------------------------------------------------------------


def test_highest_note_of_the_piece():
    t = table({"Ob 1": "C5 w | D6 w || E5 w | C5 w", "Ob 2": "A4 w | A4 w || r | r"})
    found = ranges.find_ranges(t, S)
    top = [f for f in found if f.value["extreme"] == "highest" and f.lines == (0,)]
    assert [(f.value["pitch"], f.value["within"], f.first) for f in top] == [
        ("D6", "movement", 1), ("E5", "movement", 2), ("D6", "work", 1),
    ]  # fmt: skip
    assert "I, b. 2: D6 is the highest note of Ob 1 in the whole work." in words(found)
    rows = ranges.extreme(t, 0, "lowest", t.bars[1].start, t.bars[2].end)
    assert rows["pitch"].tolist() == [midi("E5")]


def test_an_extreme_reached_often_is_told_once():
    t = table({"Fl": "C5 q D5 D5 D5 | D5 w | D5 w | D5 w | D5 w"})
    tops = [f for f in ranges.find_ranges(t, S) if f.value["extreme"] == "highest"]
    assert len(tops) == 1
    assert "here for the first of five times" in render(tops[0].sentence)


@pytest.mark.parametrize(
    ("name", "pitch", "word"),
    [  # trade facts 1.1; well inside the boundaries, which books draw +-3 semitones apart
        ("Fl", "E4", "low"), ("Fl", "G5", "middle"), ("Fl", "F6", "high"),
        ("Ob", "C4", "low"), ("Fg", "D2", "low"), ("Fg", "G4", "high"),
        ("Cl", "F3", "low"),  # sounding; written G3: chalumeau
        ("Cl", "C6", "high"),  # written D6: altissimo
        ("Vl I", "A3", "low"), ("Vla", "D3", "low"), ("Vc", "C4", "high"),
    ],
)  # fmt: skip
def test_register_words(name, pitch, word):
    t = table({name: f"{pitch} w"})
    assert ranges.register_of(t.lines[0].instrument, t.by_line[0]) == [word]


def test_register_passages():
    t = table({"Cl": "F3 w | G3 w | F3 q G3 F3 G3 | F3 w | C6 w"})
    assert words(ranges.find_registers(t, S)) == [
        "b. 1–4: Cl stays in its low register (chalumeau)."
    ]
    assert ranges.find_registers(table({"Timp": "C3 w | C3 w | C3 w | C3 w"}), S) == []


# --- parallels ----------------------------------------------------------------


def test_oboes_and_clarinets_in_thirds():
    t = table({"Ob": TUNE, "Cl": THIRDS})
    (found,) = parallel.find_parallels(t, S)
    assert found.value == {
        "kind": "parallel", "parts": ["P2"], "with": ["P1"], "interval": "third",
    }  # fmt: skip
    assert words([found]) == ["b. 1–4: Cl moves in thirds below Ob (16 of 16 attacks)."]


def test_sixths_and_tenths_and_the_wrong_side():
    sixths = "B4 q C5 D5 E5 | F#5 q E5 D5 C5 | B4 q A4 G4 F#4 | B4 q D5 C5 B4"
    (found,) = parallel.parallels(table({"Ob": TUNE, "Cl": sixths}), 0, 1, S)
    assert (found.interval, found.upper, found.met) == ("sixth", 0, 16)
    tenths = THIRDS.replace("5", "x").replace("4", "3").replace("x", "4")
    (found,) = parallel.parallels(table({"Fg": tenths, "Ob": TUNE}), 0, 1, S)
    assert (found.interval, found.upper) == ("tenth", 1)


def test_a_repeated_chord_is_no_parallel_and_an_octave_neither():
    same = "C5 q C5 C5 C5 | C5 q C5 C5 C5"
    assert parallel.parallels(table({"Ob": same, "Cl": same.replace("C5", "A4")}), 0, 1, S) == ()
    lower = TUNE.replace("5", "4").replace("6", "5")
    assert parallel.parallels(table({"Ob": TUNE, "Cl": lower}), 0, 1, S) == ()


# --- reinforcement ------------------------------------------------------------


def test_oboes_touch_the_first_note_of_each_bar():
    # job 6, example 5
    violin = " | ".join(f"{a}5 e D5 E5 F5 E5 F5 E5 r" for a in "CGAE")
    t = table({"Ob": "C5 q | G5 q | A5 q | E5 q", "Vl I": violin})
    (found,) = reinforcement.find_reinforcements(t, S)
    assert found.value == {
        "kind": "reinforcement", "parts": ["P1"], "with": ["P2"], "by": "pitch", "beats": [1.0],
    }  # fmt: skip
    assert words([found]) == [
        "b. 1–4: Ob supports Vl I only on beat 1, in unison (4 of 28 attacks)."
    ]
    assert [len(e.ids) for e in found.evidence] == [4, 4]


def test_accents_are_named_as_accents():
    violin = " | ".join(f"C5 e D5 E5 {a}5> F5 E5 F5 r" for a in "GABA")
    oboe = " | ".join(f"r q. {a}5 e" for a in "GABA")
    (found,) = reinforcement.find_reinforcements(table({"Ob": oboe, "Vl I": violin}), S)
    assert "supports the accents of Vl I" in words([found])[0]
