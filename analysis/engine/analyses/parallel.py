"""Thirds, sixths and tenths in parallel: moving together, and not a doubling.

By generic distance (steps), as a musician counts: a third may be major or minor. The same number
of semitones in another spelling counts too, for files whose spelling is not to be relied on.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np

from analysis.engine.analyses.attacks import Attacks, BoolArray, IntArray, attacks, memo
from analysis.engine.analyses.segments import Events
from analysis.engine.analyses.speech import finding, names, part_value, span
from analysis.engine.model import Evidence, Finding, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "parallel.run": (
            "{place}: {parts} moves in {interval}s {side} {with_} ({met} of {of} attacks)."
        ),
    }
)

Interval = Literal["third", "sixth", "tenth"]
#: steps, and semitones of the minor and the major one
INTERVALS: dict[Interval, tuple[int, tuple[int, int]]] = {
    "third": (2, (3, 4)),
    "sixth": (5, (8, 9)),
    "tenth": (9, (15, 16)),
}
#: fewest different pitches of either line: a chord repeated is no motion. Common practice
MOVES = 3
#: and of what somebody claims to move: less is notes repeated. Common practice
LEAST_MOVES = 2


@dataclass(frozen=True, slots=True)
class Parallel:
    """`upper` moves at one interval above `lower` (lines), between ticks, over bars."""

    upper: int
    lower: int
    interval: Interval
    start: int
    end: int
    first: int
    last: int
    met: int
    of_upper: int
    of_lower: int
    at: IntArray
    pitches: int  # different pitches of the line that moves less


def parallels(
    table: ScoreTable, a: int, b: int, settings: Settings, *, moves: int = MOVES
) -> tuple[Parallel, ...]:
    """Runs of two lines in parallel thirds, sixths or tenths, whichever of them is above.

    `moves`: fewest different pitches of either line.
    """
    return tuple(run for run in _every(table, a, b, settings) if run.pitches >= moves)


def _every(table: ScoreTable, a: int, b: int, settings: Settings) -> tuple[Parallel, ...]:
    """All runs, those of repeated notes too."""
    store: dict[tuple[int, int, Settings], tuple[Parallel, ...]] = memo(table, "_parallels", dict)
    key = (min(a, b), max(a, b), settings)
    if key not in store:
        grid = attacks(table)
        events = Events(grid, key[:2])
        found = _one_way(table, grid, events, key[0], key[1], settings)
        found += _one_way(table, grid, events, key[1], key[0], settings)
        store[key] = tuple(sorted(found, key=lambda p: (p.start, p.interval)))
    return store[key]


def find_parallels(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "parallel" between lines of one family."""
    found = []
    for a, b in combinations(table.lines, 2):
        if a.family == b.family:
            for run in parallels(table, a.index, b.index, settings):
                found.append(_finding(table, run))
    return found


def generic_steps(table: ScoreTable) -> tuple[IntArray, ...]:
    """Diatonic height (7 * octave + step) of the highest note attacked, per line on the grid."""

    def build() -> tuple[IntArray, ...]:
        grid = attacks(table)
        out = []
        for rows in table.by_line:
            height = np.zeros(len(grid.onset), dtype=np.int64)
            at = np.searchsorted(grid.onset, rows["onset"])
            height[at] = 7 * rows["octave"].astype(np.int64) + rows["step"]  # highest comes last
            out.append(height)
        return tuple(out)

    return memo(table, "_steps", build)


def _one_way(
    table: ScoreTable, grid: Attacks, events: Events, upper: int, lower: int, settings: Settings
) -> list[Parallel]:
    both = grid.attacked[upper] & grid.attacked[lower]
    gap = grid.top[upper] - grid.top[lower]
    steps = generic_steps(table)
    generic = steps[upper] - steps[lower]
    found: list[Parallel] = []
    for interval, (distance, semitones) in INTERVALS.items():
        sounds = (gap == semitones[0]) | (gap == semitones[1])
        mask = both & ((generic == distance) | sounds)
        if np.count_nonzero(mask) >= settings.doubling_min_met:
            found += _runs(grid, events, upper, lower, interval, mask, settings)
    return found


def _runs(
    grid: Attacks,
    events: Events,
    upper: int,
    lower: int,
    interval: Interval,
    mask: BoolArray,
    settings: Settings,
) -> list[Parallel]:
    found = []
    for first, last in events.runs(mask, settings.parallel_full, settings.doubling_min_met):
        at = np.flatnonzero(mask[first : last + 1]) + first
        pitches = min(len(set(grid.top[line][at].tolist())) for line in (upper, lower))
        end = int(min(grid.end[upper][last], grid.end[lower][last]))
        if end - int(grid.onset[first]) < settings.doubling_min_bars * grid.bar_length[first]:
            continue
        found.append(
            Parallel(
                upper=upper,
                lower=lower,
                interval=interval,
                start=int(grid.onset[first]),
                end=end,
                first=int(grid.bar[first]),
                last=int(grid.bar[last]),
                met=len(at),
                of_upper=int(grid.attacked[upper][first : last + 1].sum()),
                of_lower=int(grid.attacked[lower][first : last + 1].sum()),
                at=grid.onset[at],
                pitches=pitches,
            )
        )
    return found


def _finding(table: ScoreTable, run: Parallel) -> Finding:
    parts, with_ = max(run.upper, run.lower), min(run.upper, run.lower)
    grid = attacks(table)
    return finding(
        table,
        {
            "kind": "parallel",
            "parts": [part_value(table, parts)],
            "with": [part_value(table, with_)],
            "interval": run.interval,
        },
        start=run.start,
        end=run.end,
        bars=(run.first, run.last),
        lines=[parts, with_],
        evidence=[
            Evidence(ids=tuple(table.note_ids(grid.notes_at(line, run.at))))
            for line in (parts, with_)
        ],
        template="parallel.run",
        params={
            "place": span(table, run.start, int(run.at[-1]) + 1, _limits(table, grid, run)),
            "parts": names(table, [parts]),
            "with_": names(table, [with_]),
            "interval": run.interval,
            "side": "above" if parts == run.upper else "below",
            "met": run.met,
            "of": max(run.of_upper, run.of_lower),
        },
    )


def _limits(table: ScoreTable, grid: Attacks, run: Parallel) -> tuple[int, int]:
    """What of the first and last bar matters: beats are told only if they leave attacks out."""
    before, after = grid.left_out((run.upper, run.lower), (run.first, run.last), run.at)
    low = table.bars[run.first].start if before else run.start
    high = table.bars[run.last].end if after else int(run.at[-1]) + 1
    return low, high
