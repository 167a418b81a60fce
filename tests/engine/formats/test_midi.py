"""MIDI: against another reader's times, and construct by construct."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from pathlib import Path

import mido
import pytest

from analysis.engine.errors import Refused
from analysis.engine.formats.midi.spelling import likely_fifths, spelled
from analysis.engine.reader import read
from tests.engine.formats import reading
from tests.engine.formats.small import midi
from tests.engine.gate.test_refusals import lint

PRIMITIVES = reading.MUSIC21 / "midi" / "testPrimitive"
Q = Fraction(1)


def notes(data: bytes) -> list[reading.Sound]:
    return sorted(reading.sounds(reading.table_of(reading.let_in(data, "a.mid"))).elements())


def meta(kind: int, *data: int) -> bytes:
    return bytes((0, 0xFF, kind, len(data), *data))


# -- files of others ----------------------------------------------------------------


def clock_attacks(path: Path) -> list[tuple[Fraction, int]]:
    """Every key pressed that is held for a time, by another parser: exact quarters, key."""
    file = mido.MidiFile(path)
    found = []
    for track in file.tracks:
        at, held = 0, {}
        for message in track:
            at += message.time
            if message.type not in ("note_on", "note_off"):
                continue
            key = (message.channel, message.note)
            if key in held and (on := held.pop(key)) < at:
                found.append((Fraction(on, file.ticks_per_beat), message.note))
            if message.type == "note_on" and message.velocity:
                held[key] = at
        found += [(Fraction(on, file.ticks_per_beat), key) for (_, key), on in held.items()]
    return sorted(found)


def codes(path: Path) -> list[str]:
    return [n.code for n in reading.let_in(path.read_bytes(), path.name).notices]


@pytest.mark.parametrize("name", [f"test{n:02}.mid" for n in (1, 2, 5, 6, 7, 8, 10, 11, 14, 18)])
def test_attacks_are_those_of_the_clock(name: str):
    """Onset of each key: to a 32nd in files exported exactly, to a sixth of a quarter in played."""
    path = PRIMITIVES / name
    table = reading.table_of(reading.let_in(path.read_bytes(), name))
    allowed = Q / 6 if "played" in codes(path) else Q / 32
    mine: dict[int, list[Fraction]] = {}
    for onset, key in sorted(reading.attacks(table).elements()):
        mine.setdefault(key, []).append(onset)
    theirs: dict[int, list[Fraction]] = {}
    for onset, key in clock_attacks(path):
        theirs.setdefault(key, []).append(onset)
    assert mine.keys() == theirs.keys()
    for key, onsets in theirs.items():
        assert len(mine[key]) == len(onsets), key
        assert all(abs(a - b) <= allowed for a, b in zip(mine[key], onsets, strict=True)), key


@pytest.mark.parametrize("name", ["test02.mid", "test10.mid", "test11.mid", "test17.mid"])
def test_attacks_are_those_music21_reads(name: str):
    path = PRIMITIVES / name
    mine = reading.attacks(reading.table_of(reading.let_in(path.read_bytes(), name)))
    assert mine == reading.music21_attacks(reading.music21_score(path, "midi"))


# -- rhythm and bars -------------------------------------------------------------------


def test_notes_across_a_bar_are_tied_and_joined():
    data = midi([(0, 1440, 60), (1440, 2880, 62), (2880, 3840, 64)])
    assert [n[1:] for n in notes(data)] == [
        (0 * Q, 3 * Q, 60), (3 * Q, 3 * Q, 62), (6 * Q, 2 * Q, 64)
    ]  # fmt: skip
    assert reading.let_in(data, "a.mid").canonical.count(b'<tie type="start"/>') == 1


def test_triplets_keep_their_lengths_and_get_a_bracket():
    data = midi([(0, 160, 60), (160, 320, 62), (320, 480, 64), (480, 1920, 65)])
    assert [n[2] for n in notes(data)] == [Q / 3, Q / 3, Q / 3, 3 * Q]
    assert reading.let_in(data, "a.mid").canonical.count(b"<tuplet ") == 2


def test_short_gaps_before_the_next_note_are_closed():
    data = midi([(0, 455, 60), (480, 935, 62), (960, 1200, 64), (1440, 1920, 65)])
    assert [n[2] for n in notes(data)] == [Q, Q, Q / 2, Q]


def test_played_rhythm_is_drawn_to_the_grid_and_told():
    data = midi([(7, 470, 60), (491, 951, 62), (969, 1436, 64), (1451, 1899, 65)])
    admitted = reading.let_in(data, "a.mid")
    assert "played" in [n.code for n in admitted.notices]
    assert [n[1] for n in notes(data)] == [0, 1, 2, 3]


def test_a_held_note_under_moving_ones_is_a_voice_of_its_own():
    data = midi([(0, 1920, 48), (0, 960, 60), (960, 1920, 62), (960, 1920, 65)])
    assert Counter(n[2] for n in notes(data)) == {4 * Q: 1, 2 * Q: 3}


def test_metres_change_where_the_file_says():
    metas = meta(0x58, 3, 2, 24, 8)
    table = reading.table_of(reading.let_in(midi([(0, 480, 60), (2880, 3360, 60)], metas=metas),
                                            "a.mid"))  # fmt: skip
    assert len(table.bars) == 3


def test_drums_have_no_pitch():
    assert [n[3] for n in notes(midi([(0, 480, 38)], channel=9))] == [-1]


def test_names_tempi_and_hanging_notes():
    name = b"\0\xff\x03\x05Oboe!"
    data = midi([(0, 480, 60)], metas=name + meta(0x51, 7, 0xA1, 0x20)).replace(
        b"\x83\x60\x90\x3c\0", b"\x83\x60\x90\x3d\0"
    )  # the end is that of another key
    admitted = reading.let_in(data, "a.mid")
    assert reading.table_of(admitted).parts[0].label == "Oboe!"
    assert b'tempo="120"' in admitted.canonical
    assert "hanging" in [n.code for n in admitted.notices]
    assert [n[2] for n in notes(data)] == [Q]


def test_every_midi_file_says_what_is_guessed():
    assert [n.code for n in reading.let_in(midi([(0, 480, 60)]), "a.mid").notices] == ["midi"]


def test_parts_stand_as_they_sound_and_wait_for_the_tutor():
    """A double bass by name is not moved an octave; every pitched part is doubted."""
    for name, keys in ((b"Contrabass", (40, 43)), (b"Violin", (60, 70)), (b"Horn in F", (60, 65))):
        track = b"\0\xff\x03" + bytes((len(name),)) + name
        data = midi([(0, 480, keys[0]), (480, 960, keys[1])], metas=track)
        table = read(reading.let_in(data, "a.mid").canonical)
        assert sorted(table.notes["pitch"].tolist()) == list(keys)
        assert table.parts[0].doubt is not None
        assert table.parts[0].doubt.about == "pitch"


# -- spelling --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fifths", "minor", "expected"),
    [
        (0, False, "C C# D Eb E F F# G Ab A Bb B"),
        (0, True, "C C# D Eb E F F# G G# A Bb B"),
        (2, False, "C C# D D# E F F# G G# A Bb B"),
        (-3, False, "C Db D Eb E F Gb G Ab A Bb Cb"),
        (-6, False, "C Db Ebb Eb Fb F Gb G Ab Bbb Bb Cb"),
        (6, False, "B# C# D D# E E# F# F## G# A A# B"),
    ],
)
def test_names_follow_the_key(fifths: int, minor: bool, expected: str):
    names = []
    for key in range(60, 72):
        step, alter, octave = spelled(key, fifths, minor=minor)
        natural = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[step]
        assert natural + alter + 12 * (octave + 1) == key
        names.append(step + "#" * alter + "b" * -alter)
    assert names == expected.split()


def test_without_a_key_the_plainest_signature_is_taken():
    assert likely_fifths([60, 62, 64, 65, 67, 69, 71]) == 0
    assert likely_fifths([62, 64, 66, 67, 69, 71, 73]) == 2
    assert likely_fifths([58, 60, 62, 63, 65, 67, 69]) == -2


# -- damage -------------------------------------------------------------------------------------

WHOLE = midi([(0, 480, 60), (480, 960, 62)])


@pytest.mark.parametrize("end", range(4, len(WHOLE) - 1))
def test_a_file_cut_anywhere_is_refused_with_a_sentence(end: int):
    with pytest.raises(Refused) as caught:
        reading.let_in(WHOLE[:end], "a.mid")
    lint(caught.value)


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (midi([(0, 480, 60)], kind=2), "midi-type"),
        (midi([(0, 480, 60)], division=0xE728), "midi-time"),
        (midi([]), "no-music"),
        (midi([(0, 480, 60)], metas=meta(0x58, 0, 2, 24, 8)), "midi-meter"),
        (midi([(0, 480, 60)], metas=meta(0x58, 4, 40, 24, 8)), "midi-meter"),
        (midi([(0, 480, 60), (480 * 30_000, 480 * 30_001, 60)]), "bars"),
        (midi([(0, 480, 20 + k) for k in range(100)]), "chord"),
    ],
)
def test_what_cannot_be_a_score_is_refused(data: bytes, code: str):
    with pytest.raises(Refused) as caught:
        reading.let_in(data, "a.mid")
    lint(caught.value)
    assert caught.value.code == code
