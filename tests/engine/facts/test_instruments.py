"""Registers, clefs, floors and sounds of each instrument, row by row (trade facts 1, 1.1, 7.3, 10).

Tables with their sources in `tests/data/published`.
"""

from __future__ import annotations

import numpy as np
import pytest

from analysis.engine.analyses.ranges import register_of
from analysis.engine.instruments import check_range, propose
from analysis.engine.instruments.table import OPEN_STRINGS, instrument
from analysis.engine.model import NOTE, PartReading, Technique
from analysis.engine.pitch import from_midi, midi
from analysis.engine.sound import programs
from tests.published import table

#: books differ by so many semitones at a boundary
TOLERANCE = 3


def rows_at(numbers: range) -> np.ndarray:
    """One note at each height, written as it sounds."""
    rows = np.zeros(len(numbers), dtype=NOTE)
    for row, number in zip(rows, numbers, strict=True):
        spelled = from_midi(number)
        row["pitch"] = number
        for prefix in ("", "w"):
            row[prefix + "step"] = spelled.step
            row[prefix + "alter"] = spelled.alter
            row[prefix + "octave"] = spelled.octave
    return rows


@pytest.mark.parametrize(
    "row", table("published/registers.csv"), ids=lambda r: f"{r['instrument']}-{r['from']}"
)
def test_registers(row):
    low, high = midi(row["from"]), midi(row["to"])
    outer = {"low": (0, TOLERANCE), "middle": (TOLERANCE, TOLERANCE), "high": (TOLERANCE, 0)}
    below, above = outer[row["register"]]
    inside = range(low + below, high - above + 1) or range((low + high) // 2, (low + high) // 2 + 1)
    words = register_of(row["instrument"], rows_at(inside))
    assert set(words) == {row["register"]}


def test_the_clarinets_registers_go_by_what_is_written():
    rows = rows_at(range(midi("E4"), midi("F4")))
    rows["pitch"] -= 3  # clarinet in A
    assert register_of("clarinet", rows) == ["low"]
    assert register_of("flute", rows) == ["low"]
    rows = rows_at(range(midi("C5"), midi("C#5")))
    rows["pitch"] -= 12  # a flute's register goes by what sounds
    assert register_of("flute", rows) == ["low"]


@pytest.mark.parametrize("row", table("published/clefs.csv"), ids=lambda r: r["instrument"])
def test_clefs(row):
    known = instrument(row["instrument"]).clefs
    usual = row["usual"].split()
    assert set(known[: len(usual)]) == set(usual)
    for clef in row["usual"].split() + row["also"].split():
        # whatever clef it is written in, no clef alone raises a doubt about who plays
        found = propose(instrument(row["instrument"]).name, clefs=(clef,))
        assert found.doubt is None or found.doubt.about != "name"


#: lowest sounding MIDI number, and with an extension (common practice)
FLOORS = [
    ("violin", 55, 55), ("viola", 48, 48), ("cello", 36, 36), ("double-bass", 28, 24),
    ("flute", 60, 59), ("oboe", 58, 58), ("bassoon", 34, 33), ("cor-anglais", 52, 51),
    ("piccolo", 74, 72), ("contrabassoon", 22, 21),
]  # fmt: skip


@pytest.mark.parametrize(("key", "floor", "extended"), FLOORS)
def test_hard_floors(key, floor, extended):
    assert check_range(key, 0, floor, None) == []
    severities = [n.severity for n in check_range(key, 0, extended, None)]
    assert severities == ([] if extended == floor else ["remarkable"])
    assert [n.severity for n in check_range(key, 0, extended - 1, None)] == ["impossible"]


def test_clarinets_by_their_size():
    # B flat 50, A 49, C 52 (sounding): written E3 on each; the record serves all sizes
    low = midi("E3")
    for semitones in (-2, -3, 0):
        assert check_range("clarinet", semitones, low, None) == []
    assert [n.severity for n in check_range("clarinet", -3, low - 1, None)] == ["impossible"]


def test_highest_notes_are_soft():
    for key in ("violin", "flute", "oboe", "bassoon", "viola", "cello"):
        top = instrument(key).professional.high
        assert check_range(key, 0, None, top) == []
        assert [n.severity for n in check_range(key, 0, None, top + 1)] == ["remarkable"]


def test_open_strings_in_fifths_and_the_bass_in_fourths():
    for key, step in (("violin", 7), ("viola", 7), ("cello", 7), ("double-bass", 5)):
        assert set(np.diff(OPEN_STRINGS[key])) == {step}
    assert [OPEN_STRINGS[k][0] for k in ("violin", "viola", "cello", "double-bass")] == [
        midi(n) for n in ("G3", "C3", "C2", "E1")
    ]


@pytest.mark.parametrize("row", table("published/midi_programs.csv"), ids=lambda r: r["label"])
def test_programs(row):
    found = propose(row["label"].removesuffix(" solo"))
    players = (1,) if row["label"].endswith(" solo") else ()
    reading = PartReading("P1", 0, row["label"], found.instrument, "unknown", players=players)
    assert programs.base_program(reading) == int(row["program"]) - 1


def test_sections_tremolo_plucking_and_mutes():
    # string ensemble 49, tremolo 45, pizzicato 46, muted trumpet 60 as printed
    section = PartReading("P1", 0, "Violini", "violin", "strings")
    base = programs.base_program(section)
    assert base == 49 - 1
    assert programs.program_in(section, base, 0, tremolo=True) == 45 - 1
    assert programs.program_in(section, base, int(Technique.PIZZICATO), tremolo=False) == 46 - 1
    trumpet = PartReading("P1", 0, "Tromba", "trumpet", "brass")
    muted = int(Technique.CON_SORDINO)
    assert programs.program_in(trumpet, 56, muted, tremolo=False) == 60 - 1


@pytest.mark.parametrize(
    ("label", "keys"),
    [("Gran cassa", {35, 36}), ("Tamburo", {38}), ("Piatti", {49, 57}), ("Tamburin", {54}),
     ("Wood block", {76, 77}), ("Triangolo", {80, 81})],
)  # fmt: skip
def test_percussion_keys(label, keys):
    drum = PartReading("P1", 0, label, "percussion", "percussion")
    assert programs.is_drum(drum)
    assert programs.drum_key(drum) in keys
