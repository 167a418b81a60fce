"""What each bar says about the key: which pitch classes sound, and cadences in the bass.

Everything here is counted in sounding pitch and needs no spelling, signature,
slur or word, so that it works on the barest file.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses.keys_profiles import KEYS
from analysis.engine.model import TICKS, Bar, NoteArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SLOTS = 8  # parts of a bar in which a pitch class is present or not
_LEADING = 0.02  # share of the beat the leading tone must fill in a dominant
_TRIAD = 0.6  # share of the beat the tonic chord must fill at a cadence


@dataclass(frozen=True, slots=True)
class Cadence:
    """A dominant in the bass followed by its tonic."""

    key: int  # as in keys_profiles: tonic, + 12 for minor
    bar: int  # bar index of the arrival
    start: int  # ticks: the dominant's beat
    arrival: int  # ticks
    end: int  # ticks: the end of the arrival's beat
    strength: float  # 0..1


@dataclass(frozen=True, slots=True)
class Tones:
    """Pitched notes as plain columns, by onset."""

    onset: Ints
    end: Ints
    pitch: Ints
    row: Ints  # position in the array they came from


def tones(rows: NoteArray) -> Tones:
    """Columns of the rows that last and have a pitch."""
    keep = np.flatnonzero((rows["pitch"] >= 0) & (rows["duration"] > 0))
    keep = keep[np.argsort(rows["onset"][keep], kind="stable")]
    onset = rows["onset"][keep].astype(np.int64)
    end = onset + rows["duration"][keep].astype(np.int64)
    return Tones(onset, end, rows["pitch"][keep].astype(np.int64), keep.astype(np.int64))


def presence(notes: Tones, bars: tuple[Bar, ...]) -> Floats:
    """Share of each bar during which each pitch class sounds, however many play it.

    Presence, not the sum over players: ten parts on one note say no more
    about the key than one.

    Returns
    -------
    ndarray, shape (bars, 12)
        0..1, on a grid of `SLOTS` a bar.
    """
    edges = np.concatenate([_divide(b, SLOTS)[:-1] for b in bars] + [np.array([bars[-1].end])])
    there = _sounding(notes, edges, notes.pitch % 12, 12).astype(np.float64)
    shares: Floats = there.reshape(len(bars), SLOTS, 12).mean(axis=1)
    return shares


def cadences(notes: Tones, bars: tuple[Bar, ...]) -> list[Cadence]:
    """Successive beats with V, then I, in the bass and the chords to match.

    The dominant beat must hold the leading tone; a seventh makes it stronger.
    The tonic beat must be filled by the tonic chord to `_TRIAD`.
    """
    if not len(notes.onset):
        return []
    grid = [_divide(b, _beats(b)) for b in bars]
    bar_of = np.concatenate([np.full(len(g) - 1, k) for k, g in enumerate(grid)])
    edges = np.concatenate([g[:-1] for g in grid] + [np.array([bars[-1].end])])
    share = _durations(notes, edges)
    share = share / np.maximum(share.sum(axis=1, keepdims=True), 1.0)
    bass = _bass(notes, edges)
    found = []
    for i in range(1, len(bass)):
        tonic = int(bass[i]) % 12
        if bass[i] < 0 or bass[i - 1] < 0 or (int(bass[i - 1]) - tonic) % 12 != 7:
            continue
        if share[i - 1, (tonic + 11) % 12] <= _LEADING:
            continue
        major, minor = share[i, (tonic + 4) % 12], share[i, (tonic + 3) % 12]
        triad = share[i, tonic] + share[i, (tonic + 7) % 12] + max(major, minor)
        if triad < _TRIAD:
            continue
        seventh = share[i - 1, (tonic + 5) % 12] > _LEADING
        strength = float(triad * (1.0 if seventh else 0.5))
        start, arrival, end = (int(t) for t in edges[i - 1 : i + 2])
        modes = [0] if major > minor else [12] if minor > major else [0, 12]
        bar = bars[bar_of[i]].index
        for mode in modes:
            found.append(Cadence(tonic + mode, bar, start, arrival, end, strength))
    return found


def cadence_weights(found: list[Cadence], bars: tuple[Bar, ...]) -> Floats:
    """The strongest cadence into each key by bar, shape (bars, 24)."""
    out = np.zeros((len(bars), KEYS))
    for c in found:
        at = c.bar - bars[0].index
        out[at, c.key] = max(out[at, c.key], c.strength)
    return out


def _divide(bar: Bar, pieces: int) -> Ints:
    return bar.start + (np.arange(pieces + 1, dtype=np.int64) * bar.length) // pieces


def _beats(bar: Bar) -> int:
    """Quarters of a bar; a cadence is sought from quarter to quarter in every metre."""
    return max(1, round(bar.length / TICKS))


def _cells(notes: Tones, edges: Ints) -> tuple[Ints, Ints]:
    """First and last-but-one grid cell of each note."""
    cells = len(edges) - 1
    first = np.searchsorted(edges, notes.onset, side="right") - 1
    last = np.searchsorted(edges, notes.end, side="left")
    return np.clip(first, 0, cells), np.clip(last, 0, cells)


def _sounding(notes: Tones, edges: Ints, column: Ints, columns: int) -> NDArray[np.bool_]:
    """Whether something of `column` sounds in each cell, shape (cells, columns)."""
    change = np.zeros((len(edges), columns), dtype=np.int32)
    first, last = _cells(notes, edges)
    np.add.at(change, (first, column), 1)
    np.add.at(change, (last, column), -1)
    return np.cumsum(change, axis=0)[:-1] > 0


def _bass(notes: Tones, edges: Ints) -> Ints:
    """Lowest sounding pitch in each cell, -1 where nothing sounds."""
    there = _sounding(notes, edges, notes.pitch, int(notes.pitch.max()) + 1)
    lowest: Ints = np.where(there.any(axis=1), there.argmax(axis=1), -1).astype(np.int64)
    return lowest


def _durations(notes: Tones, edges: Ints) -> Floats:
    """Ticks of each pitch class in each cell, summed over notes, shape (cells, 12)."""
    out = np.zeros((len(edges) - 1, 12))
    for pc in range(12):
        mine = notes.pitch % 12 == pc
        if mine.any():
            so_far = _elapsed(notes.onset[mine], edges) - _elapsed(notes.end[mine], edges)
            out[:, pc] = np.diff(so_far)
    return out


def _elapsed(moments: Ints, edges: Ints) -> Floats:
    """Sum over `moments` of the time since then, at each edge."""
    times = np.sort(moments).astype(np.float64)
    total = np.concatenate([[0.0], np.cumsum(times)])
    n = np.searchsorted(times, edges, side="right")
    result: Floats = n * edges.astype(np.float64) - total[n]
    return result
