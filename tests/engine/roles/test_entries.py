"""Entries of a theme in a small fugue opening, read off its notes (common practice, no source)."""

from __future__ import annotations

import numpy as np

from analysis.engine.analyses import lead_entries
from analysis.engine.analyses.role_cells import grid
from tests.engine.tables import table

SUBJECT = "C5 q G5 e F5 E5 q D5 | F5 e E5 D5 q B4 C5"
ANSWER = "G4 q D5 e C5 B4 q A4 | C5 e B4 A4 q F#4 G4"  # the same moves, a fourth lower
#: as long, with moves of its own that never return
OTHER = "E5 e A5 q B5 e G5 h | A5 q. B5 e G5 e E5 q D5 e"
REST = "r | r"


def entries(parts):
    score = table(parts)
    found = lead_entries.measure(grid(score, score.movements[0]))
    return {name: found[..., k] for k, name in enumerate(lead_entries.NAMES)}


def test_the_first_statement_leads_off_and_the_answer_takes_up():
    found = entries({"Vl I": f"{SUBJECT} | {OTHER}", "Vl II": f"{REST} | {ANSWER}"})
    assert found["leads-off"][0, 0] == 1
    assert found["takes-up"][1, 2] == 1
    assert found["takes-up"][0].max() == 0  # who began takes up nothing
    assert found["leads-off"][1].max() == 0
    # in the bars of the answer it is the answer that enters
    assert found["entry-"][1, 2] == 0
    assert found["entry-"][0, 3] < 0


def test_one_line_that_repeats_itself_makes_no_entry():
    found = entries({"Vl I": f"{SUBJECT} | {SUBJECT}", "Vl II": f"{OTHER} | {REST}"})
    assert found["takes-up"].max() == 0
    assert found["leads-off"].max() == 0


def test_height_makes_no_difference_and_repeated_notes_are_no_theme():
    low = entries({"Vl I": f"{SUBJECT} | {OTHER}", "Vl II": f"{REST} | {ANSWER}"})
    same = entries({"Vl I": f"{SUBJECT} | {OTHER}", "Vl II": f"{REST} | {SUBJECT}"})
    assert np.array_equal(low["takes-up"], same["takes-up"])
    drum = "C5 e C5 C5 C5 C5 C5 C5 C5"
    assert entries({"Vl I": f"{drum} | r", "Vl II": f"r | {drum}"})["takes-up"].max() == 0


def test_nothing_that_sounds_gives_zeros():
    assert entries({"Vl I": REST})["takes-up"].shape == (1, 2)
