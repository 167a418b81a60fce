"""Written and sounding: trade-facts 2.1-2.4 and 12 (numbers in brackets there)."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.engine.model import NoteFlag, PartReading
from analysis.engine.pitch import parse_pitch
from analysis.engine.reader import read
from analysis.engine.reader.pitch import midi, transpose
from tests.engine.reader.reading import DATA, plays, rows, table


def _sounding(written: str, semitones: int, steps: int) -> str:
    pitch = parse_pitch(written)
    one = [np.array([x]) for x in (pitch.step, pitch.alter, pitch.octave, semitones, steps)]
    step, alter, octave = transpose(*one)
    name = "CDEFGAB"[step[0]] + ("#" * alter[0] if alter[0] > 0 else "b" * -alter[0])
    return f"{name}{octave[0]}"


@pytest.mark.parametrize(
    ("written", "semitones", "steps", "sounding", "number"),
    [
        ("C5", -9, -5, "Eb4", 63),  # 1, horn in E flat
        ("C2", 3, 2, "Eb2", 39),  # 2, horn in E flat, old bass clef
        ("E5", -10, -6, "F#4", 66),  # 3, horn in D
        ("C3", -7, -4, "F2", 41),  # 4 and 8, horn in F in new bass clef, basset horn
        ("C5", 5, 3, "F5", 77),  # 5, trumpet in F
        ("G4", 2, 1, "A4", 69),  # 6, trumpet in D
        ("C5", -3, -2, "A4", 69),  # 7, clarinet in A
        ("E2", -12, -7, "E1", 28),  # 9, double bass
        ("D4", 12, 7, "D5", 74),  # 10, piccolo
        ("Bb1", -12, -7, "Bb0", 22),  # 11, contrabassoon
        ("C4", 24, 14, "C6", 84),  # 12, glockenspiel
        ("B3", -7, -4, "E3", 52),  # 13, cor anglais
    ],
)
def test_sounding_pitch_and_spelling(
    written: str, semitones: int, steps: int, sounding: str, number: int
):
    assert _sounding(written, semitones, steps) == sounding
    assert parse_pitch(sounding).midi == number


def test_midi_of_middle_c():
    assert midi(np.array([0]), np.array([0]), np.array([4])).tolist() == [60]


def test_transposition_changes_in_mid_part():
    t = table("transpose-mid-part")
    assert plays(t, "Clarinetto in B") == {"1": "Bb4", "3": "A4"}
    first, second = (p for p in t.parts if p.index == 0)
    assert (first.transposition, first.crook) == (-2, "Bb")
    assert (second.from_bar, second.transposition, second.crook) == (2, -3, "A")
    assert second.doubt is None


def test_transposition_changes_in_mid_bar():
    assert plays(table("transpose-mid-bar"), "Clarinetto in B") == {"1": "Bb4 A4"}


def test_octave_transposition_without_diatonic():
    t = table("octave-transpose")
    assert plays(t, "Contrabbasso") == {"1": "E1"}
    assert plays(t, "Flauto piccolo") == {"1": "D5"}


def test_an_octave_clef_changes_nothing():
    """MusicXML: <pitch> is the sounding octave under a clef with an octave sign."""
    assert plays(table("octave-clef"), "Tenore") == {"1": "C4"}


def test_old_bass_clef():
    """Trade-facts 2.4 and 12.2: bass-clef C2 of a horn in E flat sounds E flat 2."""
    t = table("old-bass-clef")
    assert plays(t, "Corno II in Es") == {"1": "Eb2 Bb2", "2": "Eb3"}
    assert t.first_readings[0].old_bass_clef
    written = rows(t, "Corno II in Es")
    assert written["woctave"].tolist() == [2, 2, 4]


def test_labels_tell_the_crook_where_the_file_does_not():
    t = table("untransposed-horn")
    assert plays(t, "Horn 1 in Eb") == {"1": "Eb4?"}
    doubt = t.first_readings[0].doubt
    assert doubt is not None
    assert doubt.about == "pitch"
    alone = table("untransposed-horn", trust_labels=False)
    assert plays(alone, "Corni in Es") == {"1": "C5"}


def test_a_confirmed_reading_overrides_everything():
    reading = PartReading(
        id="P1", index=0, label="Corni in Es", instrument="horn", family="brass",
        transposition=-10, diatonic=-6, crook="D", players=(1,),
    )  # fmt: skip
    t = read((DATA / "untransposed-horn.musicxml").read_bytes(), confirmed=[reading])
    assert plays(t, "Corni in Es") == {"1": "D4"}
    assert t.first_readings[0] == reading
    assert t.first_readings[1].label == "Violino I"  # the other part keeps ours


def test_microtones_are_cents():
    got = rows(table("microtones"), "Flauto")
    assert got["pitch"].tolist() == [72, 73]
    assert got["cents"].tolist() == [50, -50]
    assert got["alter"].tolist() == [0, -1]


def test_unpitched_strokes():
    got = rows(table("unpitched"), "Tamburo")
    assert got["pitch"].tolist() == [-1] * 4
    assert all(got["flags"] & NoteFlag.UNPITCHED)
