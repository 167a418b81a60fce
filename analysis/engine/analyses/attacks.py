"""The attacks of all lines on one common grid of onsets.

Every comparison of lines (doubling, parallels, reinforcement, crossing) reads
this one view. Graces and cues are no attacks; a chord of one line is one
attack that offers each of its notes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from analysis.engine.model import NoteArray, ScoreTable

#: "no note here": far from every pitch, so that no difference of it looks like an octave
NONE = -10_000
#: octave distances looked at, either way; the orchestra spans about seven
MAX_OCTAVES = 6

BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]
T = TypeVar("T")


def memo(table: ScoreTable, key: str, build: Callable[[], T]) -> T:
    """Build once per table and keep, as its cached views are kept."""
    store: dict[str, Any] = table.__dict__
    if key not in store:
        store[key] = build()
    return cast(T, store[key])


@dataclass(frozen=True)
class Attacks:
    """All attacks on a grid of `n` onsets.

    Attributes
    ----------
    onset : int64, shape (n,)
        The onsets at which any line attacks, in ticks, rising.
    bar, movement : int64, shape (n,)
        Bar index and movement of each onset.
    attacked : bool, shape (lines, n)
    end : int64, shape (lines, n)
        Latest end of what the line attacks there, in ticks; 0 without an attack.
    layers : one int64 array (k, n) per line
        Sounding pitches attacked, `NONE` where fewer than k notes; highest first.
    """

    onset: IntArray
    bar: IntArray
    movement: IntArray
    bar_length: IntArray
    attacked: BoolArray
    end: IntArray
    layers: tuple[IntArray, ...]
    rows: tuple[NoteArray, ...]

    @cached_property
    def top(self) -> IntArray:
        """Highest pitch attacked, shape (lines, n); `NONE` without an attack."""
        return np.array([layer[0] for layer in self.layers]).reshape(len(self.layers), -1)

    @cached_property
    def _onsets(self) -> tuple[IntArray, ...]:
        """Onsets of the rows of each line, apart: looked up often, quicker than in the rows."""
        return tuple(np.ascontiguousarray(rows["onset"], dtype=np.int64) for rows in self.rows)

    def meets(self, a: int, b: int) -> dict[int, BoolArray]:
        """Where the lines attack together at a whole number of octaves.

        Returns
        -------
        dict of int to bool array, shape (n,)
            Octaves of `a` above `b` (negative: below) to the onsets where some note of `a`
            and some note of `b` stand so apart. Only distances that occur.
        """
        both = (self.attacked[a] & self.attacked[b]).nonzero()[0]
        found: dict[int, BoolArray] = {}
        for upper in self.layers[a]:
            above = upper[both]
            for lower in self.layers[b]:
                gap = above - lower[both]
                there = above != NONE  # two missing notes are no unison
                near = there & (gap % 12 == 0) & (np.abs(gap) <= 12 * MAX_OCTAVES)
                octave = near.nonzero()[0]
                for distance in sorted(set((gap[octave] // 12).tolist())):
                    mask = found.setdefault(distance, np.zeros(len(self.onset), dtype=bool))
                    mask[both[octave[gap[octave] == 12 * distance]]] = True
        return found

    def left_out(
        self, lines: tuple[int, int], bars: tuple[int, int], at: IntArray
    ) -> tuple[bool, bool]:
        """Whether either line attacks in these bars before the first and after the last of `at`.

        `bars` are indices, inclusive; `at` are onsets in ticks, rising.
        """
        i, j = self.bar.searchsorted((bars[0], bars[1] + 1))
        first, last = self.onset.searchsorted((at[0], at[-1]))
        hit = [self.attacked[line] for line in lines]
        before = any(bool(one[i:first].any()) for one in hit)
        after = any(bool(one[last + 1 : j].any()) for one in hit)
        return before, after

    def notes_at(self, line: int, onsets: IntArray) -> NoteArray:
        """Rows of `line` attacked at these onsets (ticks, rising)."""
        if not len(onsets):
            return self.rows[line][:0]
        rows = self.between(line, int(onsets[0]), int(onsets[-1]) + 1)
        theirs = np.ascontiguousarray(rows["onset"])
        at = np.minimum(onsets.searchsorted(theirs), len(onsets) - 1)
        found: NoteArray = rows[onsets[at] == theirs]
        return found

    def between(self, line: int, start: int, end: int) -> NoteArray:
        """Rows of `line` attacked in ``start <= onset < end``."""
        rows = self.rows[line]
        onsets = self._onsets[line]
        return rows[onsets.searchsorted(start) : onsets.searchsorted(end)]


def attacks(table: ScoreTable) -> Attacks:
    """The attacks of `table`, built once."""
    return memo(table, "_attacks", lambda: _build(table))


def _build(table: ScoreTable) -> Attacks:
    by_line = table.by_line
    onset = np.unique(np.concatenate([np.zeros(0, np.int64), *(r["onset"] for r in by_line)]))
    count = len(onset)
    attacked = np.zeros((len(by_line), count), dtype=bool)
    end = np.zeros((len(by_line), count), dtype=np.int64)
    layers = []
    for line, rows in enumerate(by_line):
        at = np.searchsorted(onset, rows["onset"])
        attacked[line, at] = True
        np.maximum.at(end[line], at, rows["onset"] + rows["duration"])
        layers.append(_layers(at, rows["pitch"].astype(np.int64), count))
    bar = np.searchsorted(table.bar_starts(), onset, side="right") - 1
    lengths = np.array([b.length for b in table.bars], dtype=np.int64)
    movements = np.array([b.movement for b in table.bars], dtype=np.int64)
    bar = np.clip(bar, 0, max(len(table.bars) - 1, 0)).astype(np.int64)
    empty = np.zeros(0, dtype=np.int64)
    return Attacks(
        onset=onset.astype(np.int64),
        bar=bar,
        movement=movements[bar] if count else empty,
        bar_length=lengths[bar] if count else empty,
        attacked=attacked,
        end=end,
        layers=tuple(layers),
        rows=by_line,
    )


def _layers(at: IntArray, pitch: IntArray, count: int) -> IntArray:
    """Spread pitches over as many layers as the fullest chord needs, highest first."""
    if not len(at):
        return np.full((1, count), NONE, dtype=np.int64)
    order = np.lexsort((-pitch, at))
    at, pitch = at[order], pitch[order]
    first = np.r_[True, at[1:] != at[:-1]]
    rank = np.arange(len(at)) - np.flatnonzero(first)[np.cumsum(first) - 1]
    layers = np.full((int(rank.max()) + 1, count), NONE, dtype=np.int64)
    layers[rank, at] = pitch
    return layers
