"""A SoundFont's samples and zones, as far as an excerpt's sound needs them.

Source: SoundFont Technical Specification 2.04 (chunks 6-7, generators 8.1.2). Read are key and
velocity ranges, tuning, loops, pan, attenuation and the volume envelope; modulators, filters and
the envelope of the filter are not.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

_BAG = np.dtype([("gen", "<u2"), ("mod", "<u2")])
_GEN = np.dtype([("oper", "<u2"), ("amount", "<i2")])
_PRESET = np.dtype(
    [("name", "S20"), ("program", "<u2"), ("bank", "<u2"), ("bag", "<u2"), ("rest", "V12")]
)
_INSTRUMENT = np.dtype([("name", "S20"), ("bag", "<u2")])
_SAMPLE = np.dtype(
    [("name", "S20"), ("start", "<u4"), ("end", "<u4"), ("loop", "<u4"), ("loop_end", "<u4"),
     ("rate", "<u4"), ("key", "u1"), ("cents", "i1"), ("link", "<u2"), ("kind", "<u2")]
)  # fmt: skip

# generators, by their numbers in the specification
START, END, LOOP, LOOP_END, START_COARSE, END_COARSE = 0, 1, 2, 3, 4, 12
PAN, DELAY, ATTACK, HOLD, DECAY, SUSTAIN, RELEASE = 17, 33, 34, 35, 36, 37, 38
INSTRUMENT, KEYS, VELOCITIES, LOOP_COARSE, ATTENUATION, LOOP_END_COARSE = 41, 43, 44, 45, 48, 50
COARSE, FINE, SAMPLE, MODES, SCALE, ROOT = 51, 52, 53, 54, 56, 58
_TIMES = (DELAY, ATTACK, HOLD, DECAY, RELEASE)
#: where nothing is said (8.1.3): times 2^(-12000/1200) s, the rest 0
_DEFAULTS = {**dict.fromkeys(_TIMES, -12000), SCALE: 100, ROOT: -1}
_NOT_ADDED = {KEYS, VELOCITIES, INSTRUMENT, SAMPLE, MODES, ROOT}

Zone = dict[int, int]


@dataclass(frozen=True, slots=True)
class Tone:
    """One sample as it answers to a key: numbers in samples, seconds, decibels."""

    wave: NDArray[np.float32]
    rate: float  # samples a second at its own pitch
    root: float  # key at which it sounds so
    scale: float  # semitones a key
    loop: tuple[int, int] | None
    pan: float  # -1 left .. 1 right
    quieter: float  # dB
    attack: float
    hold: float
    decay: float  # s for 100 dB
    sustain: float  # dB below the top
    release: float  # s for 100 dB


class Bank:
    """A SoundFont file. Raises `ValueError` if it is none."""

    def __init__(self, data: bytes) -> None:
        if data[:4] != b"RIFF" or data[8:12] != b"sfbk":
            raise ValueError("This is no SoundFont.")
        chunks = dict(_chunks(data))
        self._waves = np.frombuffer(chunks[b"smpl"], dtype="<i2")
        self._presets = np.frombuffer(chunks[b"phdr"], dtype=_PRESET)
        self._instruments = np.frombuffer(chunks[b"inst"], dtype=_INSTRUMENT)
        self._samples = np.frombuffer(chunks[b"shdr"], dtype=_SAMPLE)
        self._pbag = np.frombuffer(chunks[b"pbag"], dtype=_BAG)
        self._ibag = np.frombuffer(chunks[b"ibag"], dtype=_BAG)
        self._pgen = np.frombuffer(chunks[b"pgen"], dtype=_GEN)
        self._igen = np.frombuffer(chunks[b"igen"], dtype=_GEN)
        self._place = {(int(p["bank"]), int(p["program"])): n
                       for n, p in enumerate(self._presets[:-1])}  # fmt: skip

    @lru_cache(maxsize=2048)  # noqa: B019 (one bank lives as long as the process)
    def tones(self, program: int, key: int, velocity: int, drums: bool = False) -> tuple[Tone, ...]:
        """What sounds together for one note; () if the bank has no such sound."""
        bank = 128 if drums else 0
        number = self._place.get((bank, 0 if drums else program), self._place.get((bank, 0)))
        if number is None:
            return ()
        out = []
        for outer in _zones(self._presets, self._pbag, self._pgen, number, INSTRUMENT):
            if not _answers(outer, key, velocity):
                continue
            inside = outer[INSTRUMENT]
            for inner in _zones(self._instruments, self._ibag, self._igen, inside, SAMPLE):
                if _answers(inner, key, velocity):
                    out.append(self._tone(outer, inner))
        return tuple(out)

    def _tone(self, outer: Zone, inner: Zone) -> Tone:
        def value(oper: int) -> int:
            own = inner.get(oper, _DEFAULTS.get(oper, 0))
            return own if oper in _NOT_ADDED else own + outer.get(oper, 0)

        sample = self._samples[inner[SAMPLE]]
        start = int(sample["start"]) + value(START) + 32768 * value(START_COARSE)
        end = int(sample["end"]) + value(END) + 32768 * value(END_COARSE)
        first = int(sample["loop"]) + value(LOOP) + 32768 * value(LOOP_COARSE) - start
        last = int(sample["loop_end"]) + value(LOOP_END) + 32768 * value(LOOP_END_COARSE) - start
        loops = value(MODES) in (1, 3) and 0 <= first < last <= end - start
        root = value(ROOT) if value(ROOT) >= 0 else int(sample["key"])
        tune = value(COARSE) + (value(FINE) + int(sample["cents"])) / 100
        attack, hold, decay, release = (
            2 ** (max(value(oper), -12000) / 1200) for oper in (ATTACK, HOLD, DECAY, RELEASE)
        )
        wave = np.asarray(self._waves[start:end], np.float32) / np.float32(32768)
        return Tone(
            wave=wave,
            rate=float(sample["rate"]) * 2 ** (tune / 12),
            root=float(root),
            scale=value(SCALE) / 100,
            loop=(first, last) if loops else None,
            pan=min(max(value(PAN) / 500, -1.0), 1.0),
            # Banks are made for players that take 0.4 of the printed attenuation (common practice).
            quieter=0.4 * max(value(ATTENUATION), 0) / 10,
            attack=attack,
            hold=hold,
            decay=decay,
            sustain=min(max(value(SUSTAIN), 0) / 10, 100.0),
            release=release,
        )


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = 12
    while at + 8 <= len(data):
        name, size = data[at : at + 4], struct.unpack_from("<I", data, at + 4)[0]
        if name == b"LIST":
            at += 12
            continue
        yield name, data[at + 8 : at + 8 + size]
        at += 8 + size + size % 2


def _zones(heads: Any, bags: Any, gens: Any, number: int, ends: int) -> Iterator[Zone]:
    """Zones of a preset or instrument, what the first says of all in each."""
    whole: Zone = {}
    first, last = int(heads["bag"][number]), int(heads["bag"][number + 1])
    for bag in range(first, last):
        rows = gens[int(bags["gen"][bag]) : int(bags["gen"][bag + 1])]
        zone = {int(g["oper"]): int(g["amount"]) for g in rows}
        if ends in zone:
            yield {**whole, **zone}
        elif bag == first:
            whole = zone


def _answers(zone: Zone, key: int, velocity: int) -> bool:
    for oper, value in ((KEYS, key), (VELOCITIES, velocity)):
        span = zone.get(oper, 0x7F00) & 0xFFFF
        if not span & 0xFF <= value <= span >> 8:
            return False
    return True


@lru_cache(maxsize=1)
def bank_of(path: Path) -> Bank:
    return Bank(path.read_bytes())
