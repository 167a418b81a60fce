"""Roles on textures whose layers no reader would dispute (common practice, no source).

A melody over held chords and a bass, a pulse of repeated notes, a doubled tune, a tune handed on,
a line alone. The pieces are ours; the weights were trained on none of them.
"""

from __future__ import annotations

from collections import Counter

import pytest

from analysis.engine.analyses import role_melody, role_model
from analysis.engine.analyses.role_words import CLASS_OF, WORDS
from analysis.engine.analyses.roles import find_roles
from analysis.engine.settings import Settings
from tests.engine.tables import table

TUNE = (
    "G5 q. A5 e G5 q E5 | F5 e E5 D5 q B4 G4 | C5 e D5 E5 F5 G5 q A5 | G5 h. r q | "
    "A5 q. B5 e C6 q A5 | G5 e F5 E5 q C5 E5 | D5 e E5 F5 D5 B4 q D5 | C5 h. r q"
)
LOWER = TUNE.replace("4", "3").replace("5", "4").replace("6", "5")
CHORDS = "C4+E4 w | B3+D4 w | C4+E4 w | C4+E4 w | C4+F4 w | C4+E4 w | B3+D4 w | C4+E4 w"
FIFTH = "G4 w | G4 w | G4 w | G4 w | A4 w | G4 w | G4 w | G4 w"
BASS = "C3 h G2 | G2 h G2 | C3 h E3 | C3 h E3 | F2 h F3 | C3 h C3 | G2 h G2 | C3 h C3"
PULSE = " | ".join(
    f"{p} e " + f"{p} " * 7 for p in ("E4", "D4", "E4", "E4", "F4", "E4", "D4", "E4")
)
R = " | ".join(["r"] * 4)


def classes(score, line):
    """How many bars of the line have each broad class; "unclear" where none is named."""
    found = Counter()
    for f in find_roles(score, Settings()):
        if [score.lines[i].name for i in f.lines] == [line]:
            found[CLASS_OF.get(f.value["role"], f.value["role"])] += f.last - f.first + 1
    return found


def words(score, line):
    return {
        f.value["role"]
        for f in find_roles(score, Settings())
        if [score.lines[i].name for i in f.lines] == [line]
    }


@pytest.fixture(scope="module")
def over_chords():
    return table({"Fl": TUNE, "Cor in F": FIFTH, "Vla": CHORDS, "Cb": BASS})


def test_a_tune_over_held_chords_is_the_melody_throughout(over_chords):
    assert classes(over_chords, "Fl")["melody"] == 8
    assert classes(over_chords, "Fl")["harmony"] == 0


@pytest.mark.parametrize("line", ["Vla", "Cor in F"])
def test_held_chords_are_harmony_and_no_melody(over_chords, line):
    found = classes(over_chords, line)
    assert found["harmony"] == 8
    assert found["melody"] == 0


def test_the_lowest_slow_line_is_the_bass(over_chords):
    assert "bass line" in words(over_chords, "Cb")
    assert "melody" not in words(over_chords, "Cb")


def test_repeated_chord_notes_under_a_tune_are_a_pulse():
    score = table({"Fl": TUNE, "Vl II": PULSE, "Vla": PULSE.replace("E4", "C4"), "Cb": BASS})
    assert classes(score, "Vl II")["rhythm"] >= 6
    assert classes(score, "Vl II")["melody"] == 0
    assert classes(score, "Fl")["melody"] == 8


def test_who_doubles_the_tune_has_it_too():
    score = table({"Fl": TUNE, "Vl I": LOWER, "Vla": CHORDS, "Cor in F": FIFTH, "Cb": BASS})
    assert classes(score, "Fl")["melody"] == 8
    assert classes(score, "Vl I")["melody"] == 8


def test_the_melody_follows_the_tune_when_it_is_handed_on():
    first, second = (" | ".join(TUNE.split(" | ")[i : i + 4]) for i in (0, 4))
    score = table(
        {
            "Fl": f"{first} | {R}",
            "Ob": f"{R} | {second}",
            "Vla": CHORDS,
            "Cor in F": FIFTH,
            "Cb": BASS,
        }
    )
    estimate = role_model.estimate(score, score.movements[0])
    leading = [score.lines[i].name for i in role_melody.main_lines(estimate)]
    assert leading == ["Fl"] * 4 + ["Ob"] * 4


def test_a_low_tune_under_high_held_notes_is_still_found():
    """The top staff is no proof ("melody sought in the top staff", a typical misreading)."""
    low = TUNE.replace("4", "2").replace("5", "3").replace("6", "4")
    high = "E6 w | D6 w | E6 w | E6 w | F6 w | E6 w | D6 w | E6 w"
    score = table({"Fl": high, "Vl II": CHORDS, "Vc": low, "Cb": BASS.replace("3", "2")})
    assert classes(score, "Vc")["melody"] >= 6
    assert classes(score, "Fl")["melody"] == 0


def test_every_bar_that_sounds_has_an_answer_and_no_other(over_chords):
    score = table({"Fl": f"{TUNE.split(' | ')[0]} | r", "Cb": "r | C3 w"})
    found = find_roles(score, Settings())
    bars = {(f.lines[0], b) for f in found for b in range(f.first, f.last + 1)}
    assert bars == {(0, 0), (1, 1)}
    assert {f.value["role"] for f in find_roles(over_chords, Settings())} <= set(WORDS)
    assert all(0 <= f.confidence <= 1 for f in found)


def test_the_written_pitch_and_the_marks_make_no_difference():
    """The estimate hears: the same sounds written for another crook give the same roles."""
    plain = table({"Fl": TUNE, "Cor in F": FIFTH, "Vla": CHORDS, "Cb": BASS})
    other = table({"Fl": TUNE.replace("A5", "A5>"), "Cor in Eb": FIFTH, "Vla": CHORDS, "Cb": BASS})
    said = [
        [(f.lines, f.first, f.last, f.value["role"]) for f in find_roles(t, Settings())]
        for t in (plain, other)
    ]
    assert said[0] == said[1]


def test_the_training_record_names_what_the_weights_have_seen():
    record = role_model.shipped().record
    assert len(record["works_seen"]) >= 2
    assert record["leave_one_work_out"]["s3"]["macro_f1"] >= 0.55  # floor of the main job
    assert record["leave_one_work_out"]["s3"]["per_cell"] <= 1.35
