"""An excerpt as one mixed audio file: the same strokes the page plays, without the page.

Dry sound (no hall, no filter), 16 bit stereo. A help to the ear, like the page's own sound.
"""

from __future__ import annotations

import io
import wave
from collections.abc import Container

import numpy as np
from numpy.typing import NDArray

from analysis.engine.model import ScoreTable
from analysis.engine.sound.bank import Bank, Tone
from analysis.engine.sound.midi import seat
from analysis.engine.sound.performance import Performance

RATE = 32_000  # samples a second: an orchestra has little above 16 kHz, and files stay small
TAIL = 1.5  # s after the last note
_TOP = 0.89  # of full scale, about -1 dB
_LONGEST_RELEASE = 1.0  # s

Sound = NDArray[np.float32]


def wav_file(
    performance: Performance,
    table: ScoreTable,
    bank: Bank,
    *,
    silent: Container[str] = (),
    tempo: float = 1.0,
) -> bytes:
    """Mix a performance.

    Parameters
    ----------
    performance : Performance
        With `within` its bars alone sound; the file begins with the first of them.
    table : ScoreTable
    bank : Bank
    silent : container of str
        Ids of parts left out.
    tempo : float, default 1
        Share of the tempo; pitch stays.

    Returns
    -------
    bytes
        WAV. The loudest sample is at most 0.89 of full scale; quiet excerpts stay quiet.
    """
    mixed = mix(performance, table, bank, silent=silent, tempo=tempo)
    top = float(np.abs(mixed).max(initial=0.0))
    if top > _TOP:
        mixed = mixed * (_TOP / top)
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(2)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes((mixed * 32767).astype("<i2").tobytes())
    return out.getvalue()


def mix(
    performance: Performance,
    table: ScoreTable,
    bank: Bank,
    *,
    silent: Container[str] = (),
    tempo: float = 1.0,
) -> Sound:
    """Samples (n, 2) before they are made to fit."""
    clock = performance.clock
    strokes = performance.strokes
    if not strokes:
        return np.zeros((int(TAIL * RATE), 2), dtype=np.float32)
    here = {int(table.notes["bar"][s.row]) for s in strokes}
    starts = [b.start for b in performance.bars if b.index in here]
    begin = min(clock.at(min(starts)), clock.at(strokes[0].on))
    end = clock.at(max(s.off for s in strokes))
    keys = Keys()
    length = int(((end - begin) / tempo + TAIL) * RATE) + 1
    out = np.zeros((2, length), dtype=np.float32)
    for stroke in strokes:
        voice = performance.voices[stroke.voice]
        if table.first_readings[voice.part].id in silent:
            continue
        on = int((clock.at(stroke.on) - begin) / tempo * RATE)
        seconds = (clock.at(stroke.off) - clock.at(stroke.on)) / tempo
        where = seat(voice, table) / 64 - 1
        for tone in bank.tones(stroke.program, stroke.pitch, stroke.velocity, voice.drums):
            sound = keys.played(tone, stroke.pitch, stroke.velocity, seconds)
            sound = sound[: out.shape[1] - on]
            angle = (min(max(tone.pan + where, -1.0), 1.0) + 1) * np.pi / 4
            out[0, on : on + len(sound)] += sound * np.float32(np.cos(angle))
            out[1, on : on + len(sound)] += sound * np.float32(np.sin(angle))
    return np.asarray(out.T * np.float32(0.5), np.float32)


class Keys:
    """Samples at the keys asked for, with their rise and fall; each is made once.

    What a note adds of its own is only how loud it is and when it is let go.
    """

    def __init__(self) -> None:
        self._made: dict[tuple[int, int], tuple[Tone, Sound]] = {}

    def played(self, tone: Tone, key: int, velocity: int, seconds: float) -> Sound:
        """One note of `seconds` and its release."""
        held, release = int(seconds * RATE), int(min(tone.release, _LONGEST_RELEASE) * RATE)
        sound = self._held(tone, key, held + release)[: held + release]
        sound = sound * np.float32(10 ** (-tone.quieter / 20) * (velocity / 127) ** 2)
        if len(sound) > held:
            sound[held:] *= _let_go(tone, release)[: len(sound) - held]
        return sound

    def _held(self, tone: Tone, key: int, count: int) -> Sound:
        _, made = self._made.get((id(tone), key), (tone, None))
        if made is None or (tone.loop and len(made) < count):
            made = _resampled(tone, key, max(count, 2 * RATE))
            made = np.asarray(made * _envelope(tone, len(made)), np.float32)
            self._made[id(tone), key] = (tone, made)
        return made


def _resampled(tone: Tone, key: int, count: int) -> Sound:
    step = tone.rate / RATE * 2 ** ((key - tone.root) * tone.scale / 12)
    wave_ = np.append(tone.wave, tone.wave[-1:])
    if tone.loop:
        at = np.arange(count, dtype=np.float64) * step
        first, last = tone.loop
        over = at >= last
        at[over] = first + (at[over] - first) % (last - first)
    else:
        at = np.arange(int((len(tone.wave) - 1) / step), dtype=np.float64) * step
    low = at.astype(np.int64)
    part = (at - low).astype(np.float32)
    return np.asarray(wave_[low] * (1 - part) + wave_[low + 1] * part, np.float32)


def _envelope(tone: Tone, count: int) -> Sound:
    """Rises in a line, falls in decibels to the sustained level."""
    now = np.arange(count, dtype=np.float32) / RATE
    after = np.clip(now - tone.attack - tone.hold, 0, None)
    level = np.minimum(100 * after / max(tone.decay, 0.001), tone.sustain)
    rise = np.clip(now / max(tone.attack, 0.002), 0, 1)
    return np.asarray(rise * 10 ** (-level / 20), np.float32)


def _let_go(tone: Tone, count: int) -> Sound:
    """100 dB down in the time of release, and to nothing where that is cut short."""
    now = np.arange(count, dtype=np.float32) / RATE
    fade = np.clip((count / RATE - now) / 0.02, 0, 1)
    return np.asarray(fade * 10 ** (-5 * now / max(tone.release, 0.02)), np.float32)
