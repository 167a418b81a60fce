"""What the demo piece sounds like, measured on its MIDI by another library (pretty_midi)."""

from __future__ import annotations

import io

import pretty_midi
import pytest

from analysis.engine import gate
from analysis.engine.reader import read
from analysis.engine.sound import midi_file, perform
from tests.demo.scores import movement, path

pytestmark = pytest.mark.slow

#: Seconds by hand. I: upbeat, twice 16 bars, 40 bars of four at 112. II: 54 bars of two beats
#: (dotted) at 50. III: 100 bars of two at 92.
SECONDS = {1: (1 + 2 * 16 * 4 + 40 * 4) * 60 / 112, 2: 54 * 2 * 60 / 50, 3: 100 * 2 * 60 / 92}


def sound_of(number: int) -> pretty_midi.PrettyMIDI:
    table = read(gate.admit(path(number).read_bytes(), path(number).name).canonical)
    return pretty_midi.PrettyMIDI(io.BytesIO(midi_file(perform(table, order="played"), table)))


@pytest.mark.parametrize("number", [1, 2, 3])
def test_length_and_pitches(number):
    made = sound_of(number)
    notes = [n for instrument in made.instruments for n in instrument.notes]
    end = max(n.end for n in notes)
    # the last chord of I is a minim with a minim rest after it
    rest = {1: 2 * 60 / 112, 2: 0, 3: 0}[number]
    assert end == pytest.approx(SECONDS[number] - rest, abs=1.5)
    written = {n.sounding for part in movement(number).parts.values() for n in part.notes}
    assert {n.pitch for n in notes} == written  # basses, horns, trumpets in their own octave


@pytest.mark.parametrize("number", [1, 2, 3])
def test_every_part_is_heard_as_long_as_it_is_written(number):
    """Sounding seconds a part, against its written quarters (repeats counted by hand in I)."""
    made = sound_of(number)
    heard: dict[int, float] = {}
    for instrument in made.instruments:
        for note in instrument.notes:
            heard[note.pitch] = heard.get(note.pitch, 0) + note.end - note.start
    quarter = {1: 60 / 112, 2: 60 / 75, 3: 60 / 92}[number]
    whole = movement(number)
    once = {0, *range(whole.bar("17"), len(whole.labels))} if number == 1 else None
    written: dict[int, float] = {}
    for part in whole.parts.values():
        for note in part.notes:
            first_time = once is None or note.bar in once or whole.labels[note.bar][:2] == "16"
            times = 1 if first_time else 2
            length = float(note.length) * quarter * times
            written[note.sounding] = written.get(note.sounding, 0) + length
    for pitch, seconds in written.items():
        # staccato and pizzicato are played shorter, nothing is played longer than written
        assert 0.26 * seconds <= heard[pitch] <= 1.05 * seconds + 0.1, pitch
