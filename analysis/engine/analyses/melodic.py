"""All lines as one stream of melodic moves: what sequences, imitation and returns are known by.

One entry an attack, the highest note of each; graces and cues are left out. Moves are counted in
steps (a second = 1, as printed), so that a restatement inside the key is alike although its
semitones differ; times in ticks from attack to attack, so that a staccato dot changes nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from analysis.engine.analyses.attacks import BoolArray, IntArray, memo
from analysis.engine.analyses.phrases import felt_beats
from analysis.engine.model import ScoreTable

#: no move: the last attack of a line in its movement
NO_MOVE = 10_000


@dataclass(frozen=True)
class Stream:
    """The attacks of all lines, line after line, by onset; all arrays of shape (n,).

    Attributes
    ----------
    line, bar : int64
    onset, end : int64
        Ticks; `end` of the latest note attacked there, exclusive.
    pitch : int64
        Sounding MIDI number of the highest note.
    degree : int64
        The same in steps: ``7 * octave + step``, as printed.
    gap, move : int64
        Ticks and steps to the next attack of the line in the movement; 0 and `NO_MOVE` for the
        last one.
    fresh : bool
        Whether a rest of a beat or more stands before it (or it is the line's first).
    """

    line: IntArray
    bar: IntArray
    onset: IntArray
    end: IntArray
    pitch: IntArray
    degree: IntArray
    gap: IntArray
    move: IntArray
    fresh: BoolArray

    def __len__(self) -> int:
        return len(self.line)

    @cached_property
    def limits(self) -> IntArray:
        """Index of the first attack of each line, and the number of attacks."""
        last = int(self.line[-1]) if len(self) else -1
        return np.searchsorted(self.line, np.arange(last + 2)).astype(np.int64)

    def of(self, line: int, start: int, end: int) -> slice:
        """The attacks of `line` in ``start <= onset < end``."""
        if line + 1 >= len(self.limits):
            return slice(0, 0)
        low, high = int(self.limits[line]), int(self.limits[line + 1])
        i, j = np.searchsorted(self.onset[low:high], (start, end))
        return slice(low + int(i), low + int(j))


def stream(table: ScoreTable) -> Stream:
    """The stream of `table`, built once."""
    return memo(table, "_melodic", lambda: _build(table))


def _build(table: ScoreTable) -> Stream:
    rows = np.concatenate([table.notes[:0], *table.by_line])
    if not len(rows):
        none = np.zeros(0, dtype=np.int64)
        return Stream(none, none, none, none, none, none, none, none, none.astype(bool))
    line, onset = rows["line"].astype(np.int64), rows["onset"].astype(np.int64)
    first = np.flatnonzero(np.r_[True, (np.diff(line) != 0) | (np.diff(onset) != 0)])
    highest = np.r_[first[1:], len(rows)] - 1  # rows of one attack rise
    end = np.maximum.reduceat(onset + rows["duration"], first).astype(np.int64)
    line, onset, top = line[first], onset[first], rows[highest]
    starts = table.bar_starts()
    bar = np.clip(np.searchsorted(starts, onset, side="right") - 1, 0, None).astype(np.int64)
    movement = np.array([b.movement for b in table.bars], dtype=np.int64)[bar]
    degree = 7 * top["octave"].astype(np.int64) + top["step"]
    last = np.r_[(np.diff(line) != 0) | (np.diff(movement) != 0), True]
    rest = np.r_[0, onset[1:] - end[:-1]]
    fresh = np.r_[True, last[:-1]] | (rest >= felt_beats(table)[bar])
    return Stream(
        line=line,
        bar=bar,
        onset=onset,
        end=end,
        pitch=top["pitch"].astype(np.int64),
        degree=degree,
        gap=np.where(last, 0, np.diff(onset, append=0)),
        move=np.where(last, NO_MOVE, np.diff(degree, append=0)),
        fresh=fresh,
    )


def interval_words(steps: int) -> str:
    """How far, in a word: "a second", "a fifth", "an octave", "two octaves and a third"."""
    count = abs(steps)
    octaves, rest = divmod(count, 7)
    if count == 0:
        return "the same pitch"
    if count == 1:
        return "a step"
    simple = ("", "a second", "a third", "a fourth", "a fifth", "a sixth", "a seventh")[rest]
    if not octaves:
        return simple
    many = "an octave" if octaves == 1 else f"{('', '', 'two', 'three')[min(octaves, 3)]} octaves"
    return f"{many} and {simple}" if simple else many
