"""The mixed file against the written notes, by the spectrum; equal temperament at 440 Hz."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.engine.sound import perform, soundfont_path
from analysis.engine.sound.bank import Bank, bank_of
from analysis.engine.sound.render import RATE, mix
from tests.engine.sound.scores import dynamic, note, score


def bank() -> Bank:
    path = soundfont_path()
    assert path is not None
    return bank_of(path)


@pytest.mark.parametrize(
    ("label", "step", "octave", "hertz"),
    [("Flauto", "A", 5, 880.0), ("Oboe", "A", 4, 440.0), ("Clarinetto in C", "C", 5, 523.25),
     ("Violoncello", "A", 3, 220.0)],
)  # fmt: skip
def test_a_note_has_its_pitch(label: str, step: str, octave: int, hertz: float) -> None:
    table = score((label, "", [note(step, octave)]))
    sound = mix(perform(table), table, bank()).sum(axis=1)[: 2 * RATE]
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound))))
    step_hertz = RATE / len(sound)

    def strength(wanted: float) -> float:
        at = round(wanted / step_hertz)
        near = round(0.02 * wanted / step_hertz)  # a third of a semitone
        return float(spectrum[at - near : at + near + 1].max())

    # a tone and its partials, and nothing a semitone beside them
    assert strength(hertz) > 5 * strength(hertz * 2 ** (1 / 12))
    assert strength(hertz) > 5 * strength(hertz / 2 ** (1 / 12))


def test_level_and_silence() -> None:
    bars = [dynamic("pp") + note("A", 4), dynamic("ff") + note("A", 4)]
    table = score(("Oboe", "", bars), ("Violino I", "", [note("E", 5), note("E", 5)]))
    performance = perform(table)
    oboe = mix(performance, table, bank(), silent={"P2"})
    middle = round(performance.clock.at(performance.bars[1].start) * RATE)
    soft, loud = (float(np.sqrt((x**2).mean())) for x in (oboe[:middle], oboe[middle : 2 * middle]))
    assert loud > 4 * soft > 0  # pp to ff is more than 12 dB
    assert not mix(performance, table, bank(), silent={"P1", "P2"}).any()


def test_no_bank_is_refused() -> None:
    with pytest.raises(ValueError, match="no SoundFont"):
        Bank(b"RIFF\0\0\0\0WAVE")
