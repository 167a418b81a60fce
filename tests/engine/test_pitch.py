"""Names of pitches and keys, against published charts and music21 as oracle."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import interval as m21interval
from music21 import key as m21key
from music21 import pitch as m21pitch

from analysis.engine import pitch
from analysis.engine.errors import EngineError
from tests.published import table

NOTE_NAMES = table("published/note_names.csv")


@pytest.mark.parametrize("row", NOTE_NAMES, ids=lambda r: f"{r['language']}-{r['name']}")
def test_note_name_of_the_chart(row: dict[str, str]) -> None:
    found = pitch.parse_note_name(row["name"], row["language"])  # type: ignore[arg-type]
    assert found is not None
    assert found.pc == int(row["pc"])


def test_a_bare_b_is_flat_in_german_and_marked_where_nobody_knows() -> None:
    # German and old Viennese "B" = B flat, never B natural (common practice).
    german, unknown = pitch.parse_note_name("B", "de"), pitch.parse_note_name("B")
    assert german is not None
    assert unknown is not None
    assert (german.name, german.german_b) == ("Bb", True)
    assert (unknown.name, unknown.german_b) == ("B", True)


@given(st.integers(0, 127), st.integers(-7, 7))
def test_spelling_a_number_keeps_its_sound(number: int, fifths: int) -> None:
    assert pitch.from_midi(number, fifths).midi == number
    assert pitch.from_midi(number).midi == number


@pytest.mark.parametrize("fifths", range(-7, 8))
def test_notes_of_a_key_are_spelled_as_music21_spells_its_scale(fifths: int) -> None:
    scale = m21key.KeySignature(fifths).asKey("major").getPitches("C4", "B5")
    for note in scale:
        expected = note.name.replace("-", "b")
        assert pitch.from_midi(int(note.ps), fifths).name[:-1] == expected


@given(
    st.sampled_from("CDEFGAB"),
    st.integers(-2, 2),
    st.integers(1, 7),
    st.sampled_from(["M6", "m7", "P5", "m2", "M9", "A4", "d5", "P8", "m3"]),
    st.booleans(),
)
def test_transposing_agrees_with_music21(
    letter: str, alter: int, octave: int, name: str, down: bool
) -> None:
    step = m21interval.Interval(f"-{name}" if down else name)
    sign = "#" * alter if alter > 0 else "-" * -alter
    # As good as far out: music21 simplifies nothing here, nor do we.
    expected = step.transposePitch(m21pitch.Pitch(f"{letter}{sign}{octave}"), maxAccidental=None)
    ours = pitch.transpose(
        pitch.Pitch(pitch.LETTERS.index(letter), alter, octave),
        step.semitones,
        step.generic.staffDistance,
    )
    assert (ours.name.replace("b", "-"), ours.midi) == (expected.nameWithOctave, expected.ps)


KEYS = [
    ("Es-Dur", "eb major"),
    ("es-moll", "eb minor"),
    ("B-Dur", "bb major"),
    ("B major", "b major"),
    ("h-moll", "b minor"),
    ("fis-moll", "f# minor"),
    ("mi mineur", "e minor"),
    ("la bémol majeur", "ab major"),
    ("ut majeur", "c major"),
    ("si bemolle maggiore", "bb major"),
    ("Sol minore", "g minor"),
    ("do diesis minore", "c# minor"),
    ("E flat major", "eb major"),
    ("F sharp minor", "f# minor"),
    ("f# minor", "f# minor"),
]


@pytest.mark.parametrize(("text", "name"), KEYS)
def test_key_names_in_four_languages(text: str, name: str) -> None:
    assert pitch.parse_key(text).name == name


@pytest.mark.parametrize("fifths", range(-7, 8))
@pytest.mark.parametrize("mode", ["major", "minor"])
def test_signature_and_relatives_agree_with_music21(fifths: int, mode: str) -> None:
    theirs = m21key.KeySignature(fifths).asKey(mode)
    text = f"{theirs.tonic.name.replace('-', 'b')} {mode}"
    ours = pitch.parse_key(text)
    assert ours.fifths == theirs.sharps
    assert ours.tonic == theirs.tonic.pitchClass
    for mine, its in ((ours.relative, theirs.relative), (ours.parallel, theirs.parallel)):
        assert (mine.tonic, mine.mode) == (its.tonic.pitchClass, its.mode)


@pytest.mark.parametrize("text", ["Eb", "H4", "E4b", "", "Eb44444", "4"])
def test_no_pitch_is_an_engine_error(text: str) -> None:
    with pytest.raises(EngineError, match="not a pitch"):
        pitch.parse_pitch(text)


@pytest.mark.parametrize("text", ["E flat", "major", "", "Quux-Dur", "banana minor"])
def test_no_key_is_an_engine_error(text: str) -> None:
    with pytest.raises(EngineError):
        pitch.parse_key(text)
