"""Where a passage comes again: found by what the lines have in each bar, at any pitch level.

A *cell* is what one line attacks in one bar: rhythm and steps from its first note, so that it is
alike at every level of a key. Two places are the same passage where bars so far apart share cells
at one transposition (semitones, octaves apart), in at least `Settings.return_bars` bars, most of
them, with some variety: a bar pattern repeated is an ostinato, no passage. Cells are hashed, so
that the search is linear in the notes; a cell that fills more bars than `COMMON` tells nothing. The
theme may lie in any line, the same or another. Numbers: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from analysis.engine.analyses.attacks import IntArray, memo
from analysis.engine.analyses.melodic import Stream, stream
from analysis.engine.analyses.spans import counted
from analysis.engine.model import ScoreTable
from analysis.engine.settings import Settings

#: share of a passage's bars that must be alike, and different bars in it
SHARE, VARIETY = 0.6, 3
#: bars in a row that may hold nothing telling (long notes) or something else
HELD = 2
#: attacks alike, over all bars of it
ATTACKS = 14
#: a cell in more bars than that is an accompaniment
COMMON = 16
#: attacks, and different pitches, of a cell that tells something
CELL_ATTACKS, CELL_PITCHES = 2, 2
#: a line is in a place if it sounds in that share of its bars
PRESENT = 0.5


@dataclass(frozen=True, slots=True)
class Return:
    """Bars `first` to `last` come again `later` bars on, `shift` semitones higher (-5 to 6).

    `matched` are the bars of the first place that are alike; `tune`, `tune2` the lines that have
    what is alike, in the first and the second place.
    """

    first: int
    last: int
    later: int
    shift: int
    matched: tuple[int, ...]
    attacks: int
    tune: tuple[int, ...]
    tune2: tuple[int, ...]

    @property
    def length(self) -> int:
        return self.last - self.first + 1

    @property
    def share(self) -> float:
        return len(self.matched) / self.length


@dataclass(frozen=True)
class Cells:
    """What each line has in each bar, sorted by hash, bar, then falling pitch; shape (n,)."""

    hash: IntArray
    bar: IntArray
    line: IntArray
    pitch: IntArray
    attacks: IntArray


def returns(table: ScoreTable, settings: Settings) -> list[Return]:
    """The returns of a table, by the place that comes again; each place told once."""
    least = max(settings.return_bars, VARIETY)
    return memo(table, f"_returns-{least}", lambda: _returns(table, least))


def _returns(table: ScoreTable, least: int) -> list[Return]:
    cells = _cells(table)
    if len(cells.hash) < 2 * VARIETY:
        return []
    found = sorted(
        _runs(table, cells, least), key=lambda r: (-r.length, -r.attacks, r.first, r.later)
    )
    taken = np.zeros(len(table.bars), dtype=bool)
    kept = []
    for one in found:
        target = slice(one.first + one.later, one.last + one.later + 1)
        if 2 * int(taken[target].sum()) > one.length:
            continue
        taken[target] = True
        kept.append(_with_tune(cells, one))
    return sorted(kept, key=lambda r: (r.first + r.later, r.first))


def differences(
    table: ScoreTable, first: tuple[int, int], second: tuple[int, int]
) -> tuple[list[int], list[int]]:
    """Who is added in the second place and who has left, as lines (sections, not their divisi).

    Added: sounds in at least `PRESENT` of the bars of the second place and nowhere in the first;
    left: the reverse. Places are bar indices, inclusive.
    """
    plays = counted(table)
    one, two = (plays[:, a : b + 1] for a, b in (first, second))
    there = [p.mean(axis=1) if p.size else np.zeros(len(plays)) for p in (one, two)]
    added = np.flatnonzero((there[1] >= PRESENT) & (there[0] == 0))
    left = np.flatnonzero((there[0] >= PRESENT) & (there[1] == 0))
    return added.tolist(), left.tolist()


def _cells(table: ScoreTable) -> Cells:
    s: Stream = stream(table)
    if not len(s):
        none = np.zeros(0, dtype=np.int64)
        return Cells(none, none, none, none, none)
    begins = np.flatnonzero(np.r_[True, (np.diff(s.line) != 0) | (np.diff(s.bar) != 0)])
    count = np.diff(np.r_[begins, len(s)])
    cell = np.repeat(np.arange(len(begins)), count)
    within = s.onset - table.bar_starts()[s.bar]
    steps = s.degree - s.degree[begins][cell]
    with np.errstate(over="ignore"):
        mixed = (within * np.int64(1_000_003) + steps) * np.int64(-7_046_029_254_386_353_131)
        mixed = (mixed ^ (mixed >> 29)) * np.int64(-4_658_895_280_553_007_687)
        key = np.add.reduceat(mixed ^ (mixed >> 32), begins)
    low, high = np.minimum.reduceat(s.pitch, begins), np.maximum.reduceat(s.pitch, begins)
    telling = (count >= CELL_ATTACKS) & (high > low)
    at = begins[telling]
    key, count = key[telling], count[telling]
    order = np.lexsort((-s.pitch[at], s.bar[at], key))
    at = at[order]
    return Cells(key[order], s.bar[at], s.line[at], s.pitch[at], count[order])


def _pairs(table: ScoreTable, cells: Cells) -> IntArray:
    """Rows (bars apart, shift, bar, attacks, hash): where a cell comes again in its movement."""
    once = np.r_[True, (np.diff(cells.hash) != 0) | (np.diff(cells.bar) != 0)]
    key, bar = cells.hash[once], cells.bar[once]
    pitch, attacks = cells.pitch[once], cells.attacks[once]
    movement = np.array([b.movement for b in table.bars], dtype=np.int64)
    edges = np.flatnonzero(np.r_[True, np.diff(key) != 0, True])
    size = np.diff(edges)[np.repeat(np.arange(len(edges) - 1), np.diff(edges))]
    blocks = []
    for ahead in range(1, COMMON):
        i = np.flatnonzero((key[:-ahead] == key[ahead:]) & (size[:-ahead] <= COMMON))
        j = i + ahead
        i, j = i[same := movement[bar[i]] == movement[bar[j]]], j[same]
        shift = (pitch[j] - pitch[i]) % 12
        blocks.append(np.stack([bar[j] - bar[i], shift, bar[i], attacks[i], key[i]], axis=1))
        if ahead + 1 >= len(key):
            break
    return np.concatenate(blocks) if blocks else np.zeros((0, 5), dtype=np.int64)


def _runs(table: ScoreTable, cells: Cells, least: int) -> Iterator[Return]:
    """Stretches of bars that come again at one distance and one shift."""
    rows = _pairs(table, cells)
    rows = rows[np.lexsort((rows[:, 2], rows[:, 1], rows[:, 0]))]
    apart = np.any(np.diff(rows[:, :2], axis=0) != 0, axis=1) | (np.diff(rows[:, 2]) > HELD + 1)
    edges = np.flatnonzero(np.r_[True, apart, True]) if len(rows) else np.zeros(1, dtype=np.int64)
    for i, j in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True):
        if j - i < VARIETY:
            continue
        run = rows[i:j]
        bars = np.unique(run[:, 2])
        later, shift = int(run[0, 0]), int(run[0, 1])
        first, last = int(bars[0]), int(bars[-1])
        last = min(last, first + later - 1)  # a place does not overlap its return
        inside = run[:, 2] <= last
        bars, run = bars[bars <= last], run[inside]
        length = last - first + 1
        if length < least or len(bars) < SHARE * length:
            continue
        if len(np.unique(run[:, 4])) < VARIETY or _alone(run) < ATTACKS:
            continue
        yield Return(
            first=first,
            last=last,
            later=later,
            shift=(shift + 5) % 12 - 5,
            matched=tuple(bars.tolist()),
            attacks=_alone(run),
            tune=(),
            tune2=(),
        )


def _alone(run: IntArray) -> int:
    """Attacks alike of the best line of each bar."""
    best = np.zeros(int(run[:, 2].max()) - int(run[0, 2]) + 1, dtype=np.int64)
    np.maximum.at(best, run[:, 2] - run[0, 2], run[:, 3])
    return int(best.sum())


def _with_tune(cells: Cells, one: Return) -> Return:
    """The same, with the lines that have what is alike in at least half of the alike bars."""
    here = np.isin(cells.bar, one.matched)
    there = np.isin(cells.bar, np.array(one.matched) + one.later)
    mine = set(zip(cells.bar[here].tolist(), cells.hash[here].tolist(), strict=True))
    theirs = {
        (b - one.later, h)
        for b, h in zip(cells.bar[there].tolist(), cells.hash[there].tolist(), strict=True)
    }
    common = mine & theirs
    tunes = []
    for mask, back in ((here, 0), (there, one.later)):
        counts: dict[int, int] = {}
        for line, bar, key, attacks in zip(
            cells.line[mask].tolist(),
            (cells.bar[mask] - back).tolist(),
            cells.hash[mask].tolist(),
            cells.attacks[mask].tolist(),
            strict=True,
        ):
            if (bar, key) in common:
                counts[line] = counts.get(line, 0) + attacks
        most = max(counts.values(), default=0)
        tunes.append(tuple(sorted(line for line, n in counts.items() if 2 * n > most)))
    values = {name: getattr(one, name) for name in one.__slots__}
    return Return(**{**values, "tune": tunes[0], "tune2": tunes[1]})
