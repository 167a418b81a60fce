"""Entries of a theme: a line that takes up what another line had, or states what others take up.

In imitation a listener's ear goes to the latest entry. A motif is four successive moves in pitch
and time, known again at any height, as in `role_wider`.
"""

from __future__ import annotations

import numpy as np

from analysis.engine.analyses.role_cells import Bools, Floats, Grid, Ints, Strokes

#: Share of the cell's motifs that another line had before and this one had not; that no other had
#: before and another has after; the larger of both over five bars; that less the most of the bar.
NAMES = ("takes-up", "leads-off", "entry~", "entry-")

_MOVES = 4  # moves that make a motif
_LONGEST = 2  # bars between two attacks that still belong to one motif
_FAR = 24  # bars within which an entry answers another
_NEAR = 8  # bars within which the line's own motif makes it no entry
_AROUND = 2  # bars before and after that are averaged


def measure(cells: Grid) -> Floats:
    """The values of `NAMES` in every cell, shape (lines, bars, 4)."""
    lines, bars = cells.shape
    motif, line, bar = _motifs(cells.strokes)
    if not len(motif):
        return np.zeros((lines, bars, len(NAMES)))
    wide = bars + 2 * _FAR + 2  # keys of neighbours must not meet
    everywhere = motif * wide + bar + _FAR
    own = (motif * lines + line) * wide + bar + _FAR
    before = _count(everywhere, -_FAR, -1) - _count(own, -_FAR, -1)
    after = _count(everywhere, 1, _FAR) - _count(own, 1, _FAR)
    cell = line * bars + bar
    some = np.maximum(np.bincount(cell, minlength=lines * bars), 1)

    def share(of: Bools) -> Floats:
        mean: Floats = np.bincount(cell, of.astype(np.float64), lines * bars) / some
        return mean.reshape(lines, bars)

    takes = share((before > 0) & (_count(own, -_NEAR, -1) == 0))
    leads = share((before == 0) & (after > 0))
    padded = np.pad(np.maximum(takes, leads), ((0, 0), (_AROUND, _AROUND)))
    width = 2 * _AROUND + 1
    around: Floats = np.mean([padded[:, k : k + bars] for k in range(width)], axis=0)
    return np.stack([takes, leads, around, around - around.max(axis=0, keepdims=True)], axis=-1)


def _motifs(s: Strokes) -> tuple[Ints, Ints, Ints]:
    """Number, line and bar of every motif; neither repeated notes nor an even run is one."""
    count = len(s.line) - _MOVES
    if count <= 0:
        nothing = np.zeros(0, dtype=np.int64)
        return nothing, nothing, nothing
    move, gap = np.diff(s.top), np.diff(s.onset)
    joined = (np.diff(s.line) == 0) & (np.diff(s.bar) <= _LONGEST)
    joined &= (s.top[1:] >= 0) & (s.top[:-1] >= 0)
    key = np.zeros(count, dtype=np.uint64)
    whole = np.ones(count, dtype=bool)
    changes, still = np.zeros(count, dtype=np.int64), np.zeros(count, dtype=np.int64)
    for k in range(_MOVES):
        part = slice(k, k + count)
        step = (move[part] + 200).astype(np.uint64) * np.uint64(1 << 20)
        key = (key ^ (step + gap[part].astype(np.uint64))) * np.uint64(0x9E3779B97F4A7C15)
        key ^= key >> np.uint64(31)
        whole &= joined[part]
        still += move[part] == 0
        if k:
            changes += move[part] != move[k - 1 : k - 1 + count]
    at = np.flatnonzero(whole & (changes >= 2) & (still <= 2))
    _, motif = np.unique(key[at], return_inverse=True)
    return motif.astype(np.int64), s.line[at], s.bar[at]


def _count(keys: Ints, low: int, high: int) -> Ints:
    """How many keys lie within `low` to `high` of each."""
    ordered = np.sort(keys)
    upper = np.searchsorted(ordered, keys + high, side="right")
    found: Ints = upper - np.searchsorted(ordered, keys + low, side="left")
    return found
