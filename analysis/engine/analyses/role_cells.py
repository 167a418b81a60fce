"""The grid of a movement's lines and bars that the role estimate looks at.

A cell is one line in one bar. What is measured in it needs sounding pitch and
time alone: no dynamics, words, slurs or spelling.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.engine.model import TICKS, Bar, Movement, NoteFlag, ScoreTable

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Strokes:
    """Attacks of all lines, by line and onset; a chord is one stroke.

    Attributes
    ----------
    line, bar : int64, shape (n,)
        `bar` counts from the first bar of the movement.
    onset, end : int64, shape (n,)
        Ticks.
    top : int64, shape (n,)
        Highest sounding pitch, -1 unpitched.
    size : int64, shape (n,)
        Notes struck together.
    """

    line: Ints
    bar: Ints
    onset: Ints
    end: Ints
    top: Ints
    size: Ints


@dataclass(frozen=True)
class Grid:
    """One movement as lines x bars."""

    bars: tuple[Bar, ...]
    lines: int
    strokes: Strokes
    sounding: Floats  # share of the bar in which the line sounds, shape (lines, bars)
    pitch: Floats  # mean sounding pitch weighted by time, NaN where none, shape (lines, bars)
    tokens: Ints  # (onset, pitch class) of each note as one number, shape (m,)
    token_line: Ints
    token_bar: Ints

    @property
    def shape(self) -> tuple[int, int]:
        return self.lines, len(self.bars)

    @property
    def quarters(self) -> Floats:
        return np.array([max(b.length, 1) / TICKS for b in self.bars])


def grid(table: ScoreTable, movement: Movement) -> Grid:
    """The grid of one movement; graces and cues are left out."""
    bars = table.bars[movement.first_bar : movement.last_bar + 1]
    rows = table.sounding
    keep = (rows["bar"] >= movement.first_bar) & (rows["bar"] <= movement.last_bar)
    rows = rows[keep & ((rows["flags"] & NoteFlag.GRACE) == 0) & (rows["duration"] > 0)]
    rows = rows[np.lexsort((rows["pitch"], rows["onset"], rows["line"]))]
    line = rows["line"].astype(np.int64)
    bar = rows["bar"].astype(np.int64) - movement.first_bar
    onset = rows["onset"].astype(np.int64)
    end = onset + rows["duration"].astype(np.int64)
    pitch = rows["pitch"].astype(np.int64)
    sounding, mean = _sounding(line, onset, end, pitch, bars, len(table.lines))
    return Grid(
        bars=bars,
        lines=len(table.lines),
        strokes=_strokes(line, bar, onset, end, pitch),
        sounding=sounding,
        pitch=mean,
        tokens=np.where(pitch >= 0, onset * 12 + pitch % 12, -1),
        token_line=line,
        token_bar=bar,
    )


def _strokes(line: Ints, bar: Ints, onset: Ints, end: Ints, pitch: Ints) -> Strokes:
    if not len(line):
        nothing = np.zeros(0, dtype=np.int64)
        return Strokes(nothing, nothing, nothing, nothing, nothing, nothing)
    new = np.r_[True, (np.diff(line) != 0) | (np.diff(onset) != 0)]
    at = np.flatnonzero(new)
    size = np.diff(np.r_[at, len(line)])
    top = np.maximum.reduceat(pitch, at)
    return Strokes(line[at], bar[at], onset[at], np.maximum.reduceat(end, at), top, size)


def _sounding(
    line: Ints, onset: Ints, end: Ints, pitch: Ints, bars: tuple[Bar, ...], lines: int
) -> tuple[Floats, Floats]:
    """Share of sounding time, and mean pitch, by line and bar; ties reach into later bars."""
    starts = np.array([b.start for b in bars] + [bars[-1].end], dtype=np.int64)
    first = np.clip(np.searchsorted(starts, onset, side="right") - 1, 0, len(bars) - 1)
    last = np.clip(np.searchsorted(starts, end, side="left") - 1, 0, len(bars) - 1)
    reach = last - first + 1
    note = np.repeat(np.arange(len(line)), reach)
    bar = (
        np.repeat(first, reach) + np.arange(len(note)) - np.repeat(np.cumsum(reach) - reach, reach)
    )
    time = np.minimum(end[note], starts[bar + 1]) - np.maximum(onset[note], starts[bar])
    time = np.maximum(time, 0).astype(np.float64)
    cell = line[note] * len(bars) + bar
    cells = lines * len(bars)
    total = np.bincount(cell, time, cells)
    tuned = pitch[note] >= 0
    weight = np.bincount(cell[tuned], time[tuned], cells)
    height = np.bincount(cell[tuned], time[tuned] * pitch[note][tuned], cells)
    length = np.tile(np.maximum(np.diff(starts), 1), lines)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.where(weight > 0, height / weight, np.nan)
    share = np.minimum(total / length, 1.0)
    return share.reshape(lines, -1), mean.reshape(lines, -1)
