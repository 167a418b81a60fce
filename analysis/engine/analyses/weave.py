"""How the lines of a movement are woven together, bar by bar.

What textures, layers and sides rest on: who moves in the same rhythm, who has the same notes, how
many pitch classes sound at once. All of it counted from attacks and sounding pitch; two lines are
alike in a bar if their attacks agree to `ALIKE` (Dice: twice the common ones over all).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.engine.analyses.attacks import BoolArray, IntArray, attacks, memo
from analysis.engine.analyses.role_cells import Floats
from analysis.engine.analyses.spans import SLACK
from analysis.engine.model import TICKS, Movement, ScoreTable

#: share of attacks from which two lines have one rhythm, or one line, in a bar; common practice
ALIKE = 0.75


@dataclass(frozen=True)
class Weave:
    """One movement; bars count from its first.

    Attributes
    ----------
    count : int64, shape (lines, bars)
        Attacks; a chord is one.
    rhythm, doubled : bool, shape (bars, lines, lines)
        Lines alike in their attacks, and in their attacks and pitch classes; each with itself
        where it attacks.
    moves, repeats : float64, shape (lines, bars)
        Share of its attacks at which a line changes, or repeats, its pitch.
    pitches : int64, shape (lines, bars)
        Different top pitches attacked.
    alone : float64, shape (bars,)
        Share of the bar's moments of attack at which one pitch class sounds and no other.
    chord : float64, shape (bars,)
        The same for three pitch classes and more.
    quarters : float64, shape (bars,)
    """

    count: IntArray
    rhythm: BoolArray
    doubled: BoolArray
    moves: Floats
    repeats: Floats
    pitches: IntArray
    alone: Floats
    chord: Floats
    quarters: Floats


def weave(table: ScoreTable, movement: Movement) -> Weave:
    """The weave of one movement, built once."""
    return memo(table, f"_weave_{movement.index}", lambda: _build(table, movement))


def first_of_group(alike: BoolArray) -> IntArray:
    """A number for each line's group in each bar: the first line it hangs together with.

    Parameters
    ----------
    alike : bool, shape (bars, lines, lines)

    Returns
    -------
    int64, shape (bars, lines)
        -1 for lines alike with nobody, not even themselves.
    """
    if not alike.size:
        return np.full(alike.shape[:2], -1, dtype=np.int64)
    group = alike.argmax(axis=2).astype(np.int64)
    for _ in range(3):
        group = np.take_along_axis(group, group, axis=1)
    there = alike.any(axis=2)
    found: IntArray = np.where(there, group, -1)
    return found


def _build(table: ScoreTable, movement: Movement) -> Weave:
    grid = attacks(table)
    first, last = movement.first_bar, movement.last_bar
    i, j = np.searchsorted(grid.bar, (first, last + 1))
    bar = grid.bar[i:j] - first
    hit, top = grid.attacked[:, i:j], grid.top[:, i:j]
    lines, bars = len(table.lines), last - first + 1
    count = np.zeros((lines, bars), dtype=np.int64)
    rhythm = np.zeros((bars, lines, lines), dtype=bool)
    doubled = np.zeros((bars, lines, lines), dtype=bool)
    moves, repeats = np.zeros((lines, bars)), np.zeros((lines, bars))
    pitches = np.zeros((lines, bars), dtype=np.int64)
    for line in range(lines):
        at = np.flatnonzero(hit[line])
        where, pitch = bar[at], top[line, at]
        count[line] = np.bincount(where, minlength=bars)
        same = np.r_[False, (pitch[1:] == pitch[:-1]) & (where[1:] - where[:-1] <= 1)]
        some = np.maximum(count[line], 1)
        repeats[line] = np.bincount(where, same, bars) / some
        moves[line] = np.bincount(where, ~same, bars) / some
        pitches[line] = np.bincount(np.unique(where * 256 + pitch) // 256, minlength=bars)
    cuts = np.searchsorted(bar, np.arange(bars + 1)).tolist()
    for b in range(bars):
        struck = hit[:, cuts[b] : cuts[b + 1]].astype(np.float32)
        if not struck.any():
            continue
        size = struck.sum(axis=1)
        enough = ALIKE / 2 * (size[:, None] + size[None, :])
        common = struck @ struck.T
        rhythm[b] = (common > 0) & (common >= enough)
        tone = top[:, cuts[b] : cuts[b + 1]] % 12
        who = np.flatnonzero(size)
        met = (tone[who, None] == tone[None, who]) & (
            (struck[who, None] > 0) & (struck[None, who] > 0)
        )
        both = met.sum(axis=2)
        doubled[b][np.ix_(who, who)] = (both > 0) & (both >= enough[np.ix_(who, who)])
    sounding = _classes(table)[:, i:j]
    moments = np.maximum(np.bincount(bar, minlength=bars), 1)
    return Weave(
        count=count,
        rhythm=rhythm,
        doubled=doubled,
        moves=moves,
        repeats=repeats,
        pitches=pitches,
        alone=np.bincount(bar, sounding.sum(axis=0) == 1, bars) / moments,
        chord=np.bincount(bar, sounding.sum(axis=0) >= 3, bars) / moments,
        quarters=np.array([max(b.length, 1) / TICKS for b in table.bars[first : last + 1]]),
    )


def _classes(table: ScoreTable) -> BoolArray:
    """Pitch classes that sound at each onset of the grid, shape (12, onsets)."""

    def build() -> BoolArray:
        grid = attacks(table)
        edges = np.zeros((12, len(grid.onset) + 1), dtype=np.int64)
        for rows in table.by_line:
            tone = rows["pitch"] % 12
            begin = np.searchsorted(grid.onset, rows["onset"])
            until = rows["onset"] + np.maximum(rows["duration"] - SLACK, 1)
            end = np.searchsorted(grid.onset, until)
            np.add.at(edges, (tone, begin), 1)
            np.add.at(edges, (tone, np.maximum(end, begin)), -1)
        found: BoolArray = np.cumsum(edges, axis=1)[:, :-1] > 0
        return found

    return memo(table, "_classes_sounding", build)
