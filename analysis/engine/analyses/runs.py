"""Runs of two lines at one octave distance: where one doubles the other.

The definition is the project's own (contract, "When a claim holds"): a doubling joins two lines
over a maximal run at one octave distance, by attacks met. What "maximal" means, exactly:

* a run begins and ends on a met attack, and taking in more would lower what makes it a doubling
  (`segments.maximal_segments`);
* it ends where as many attacks in a row are unmet as make a doubling when met
  (`Settings.doubling_min_met`), where the lines part for half of a bar's attacks or more, where
  both are silent for longer than a bar, and at the end of a movement.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from analysis.engine.analyses.attacks import (
    NONE,
    Attacks,
    BoolArray,
    IntArray,
    attacks,
    memo,
)
from analysis.engine.analyses.segments import Events
from analysis.engine.model import NoteArray, ScoreTable
from analysis.engine.settings import Settings

Coverage = Literal[
    "full", "noted", "simplified", "heterophonic", "partial", "reinforcement", "contact"
]
#: one line leaves out what the other has; of those runs `a` is the line with fewer attacks
ONE_SIDED: frozenset[Coverage] = frozenset({"simplified", "heterophonic", "reinforcement"})
#: coverages that make two lines go together
DOUBLED: frozenset[Coverage] = frozenset({"full", "noted", "simplified", "heterophonic"})

#: largest step of an ornament, in semitones
ORNAMENT = 2


@dataclass(frozen=True, slots=True)
class Run:
    """Two lines at one distance over one run.

    Attributes
    ----------
    a, b : int
        Lines. For one-sided coverages `a` is the line with fewer attacks.
    octaves : int
        `a` above `b`; negative below, 0 unison.
    start, end : int
        Ticks, from the first met attack to the end of the last (exclusive).
    first, last : int
        Bar indices, inclusive.
    met, of_a, of_b : int
        Attacks met, and attacks of each line between the first and the last met; where `a` has
        fewer and is met (nearly) throughout, in the whole bars of the run.
    at : int64 array
        The met onsets, in ticks.
    """

    a: int
    b: int
    octaves: int
    coverage: Coverage
    start: int
    end: int
    first: int
    last: int
    met: int
    of_a: int
    of_b: int
    at: IntArray

    @property
    def share(self) -> float:
        """Attacks met of the line that has more."""
        return self.met / max(self.of_a, self.of_b)


@dataclass(frozen=True, slots=True)
class Meeting:
    """Attacks of two lines in a span, and how many meet, by octaves of `a` above `b`."""

    of_a: int
    of_b: int
    together: int
    met: dict[int, int]
    any_octave: int


def classify(met: int, of_a: int, of_b: int, settings: Settings) -> Coverage:
    """What a share of met attacks makes of a run that is long enough."""
    if met < settings.doubling_min_met or not of_a or not of_b:
        return "contact"
    low, high = sorted((met / of_a, met / of_b))
    if low >= settings.doubling_full:
        return "full"
    if low >= settings.doubling_noted:
        return "noted"
    if low >= settings.doubling_partial:
        return "simplified" if high >= settings.doubling_full else "partial"
    return "reinforcement" if low >= settings.doubling_contact else "contact"


def meeting(table: ScoreTable, a: int, b: int, start: int, end: int) -> Meeting:
    """Count what meets between `a` and `b` in ``start <= onset < end`` (ticks)."""
    grid = attacks(table)
    i, j = grid.onset.searchsorted((start, end))
    masks = _meets(table, grid, a, b)
    met = {d: n for d, mask in masks.items() if (n := int(mask[i:j].sum()))}
    every = np.zeros(j - i, dtype=bool)
    for mask in masks.values():
        every |= mask[i:j]
    of_a, of_b = grid.attacked[a][i:j], grid.attacked[b][i:j]
    return Meeting(
        int(of_a.sum()), int(of_b.sum()), int((of_a & of_b).sum()), met, int(every.sum())
    )


def pair_runs(table: ScoreTable, a: int, b: int, settings: Settings) -> tuple[Run, ...]:
    """All runs between lines `a` and `b`, by start; built once per table and settings.

    ``octaves`` of each run is counted from its own ``a`` to its own ``b``, which are swapped
    where the line with fewer attacks comes first.
    """
    store: dict[tuple[int, int, Settings], tuple[Run, ...]] = memo(table, "_runs", dict)
    key = (min(a, b), max(a, b), settings)
    if key not in store:
        store[key] = tuple(_find(table, key[0], key[1], settings))
    return store[key]


def class_runs(table: ScoreTable, a: int, b: int, settings: Settings) -> tuple[Run, ...]:
    """Full runs by pitch class alone, at any and at changing distance.

    ``octaves`` is then the commonest distance of the run.
    """
    grid = attacks(table)
    masks = _meets(table, grid, a, b)
    if not masks:
        return ()
    any_octave = np.logical_or.reduce(list(masks.values()))
    runs = []
    for run in _two_sided(grid, Events(grid, (a, b)), a, b, 0, any_octave, settings):
        counts = {d: int(m[grid.onset.searchsorted(run.at)].sum()) for d, m in masks.items()}
        common = max(counts, key=lambda d: (counts[d], -abs(d)))
        runs.append(replace(run, octaves=common))
    return tuple(runs)


def met_notes(grid: Attacks, run: Run, line: int) -> NoteArray:
    """The notes of `line` that meet: of chords only those that do."""
    rows = grid.notes_at(line, run.at)
    if len(rows) == len(run.at):
        return rows
    other, shift = (run.b, -run.octaves) if line == run.a else (run.a, run.octaves)
    theirs = grid.notes_at(other, run.at)
    wanted = theirs["onset"] * 256 + theirs["pitch"] - 12 * shift
    return rows[np.isin(rows["onset"] * 256 + rows["pitch"], wanted)]


def _meets(table: ScoreTable, grid: Attacks, a: int, b: int) -> dict[int, BoolArray]:
    store: dict[tuple[int, int], dict[int, BoolArray]] = memo(table, "_meets", dict)
    if (a, b) not in store:
        store[a, b] = grid.meets(a, b)
    return store[a, b]


def _find(table: ScoreTable, a: int, b: int, settings: Settings) -> list[Run]:
    grid = attacks(table)
    masks = {
        d: mask
        for d, mask in grid.meets(a, b).items()
        if np.count_nonzero(mask) >= settings.doubling_min_met
    }
    if not masks:
        return []
    both = Events(grid, (a, b))
    of_a, of_b = _of_line(table, grid, a), _of_line(table, grid, b)
    runs: list[Run] = []
    covered = np.zeros(len(grid.onset), dtype=bool)
    for octaves, mask in masks.items():
        runs += _two_sided(grid, both, a, b, octaves, mask, settings)
    _cover(grid, covered, runs)
    for octaves, mask in masks.items():
        rest = mask & ~covered
        if np.count_nonzero(rest) < settings.doubling_min_met:
            continue
        one_sided = _one_sided(grid, of_a, a, b, octaves, rest, covered, settings)
        one_sided += _one_sided(grid, of_b, b, a, -octaves, rest, covered, settings)
        runs += one_sided
        taken = covered.copy()
        _cover(grid, taken, one_sided)
        runs += _partial(grid, both, a, b, octaves, rest & ~taken, taken, settings)
    return sorted(runs, key=lambda r: (r.start, r.end, r.octaves, r.a))


def _cover(grid: Attacks, covered: BoolArray, runs: list[Run]) -> None:
    for run in runs:
        i, j = grid.onset.searchsorted((run.at[0], run.at[-1]))
        covered[i : j + 1] = True


def _of_line(table: ScoreTable, grid: Attacks, line: int) -> Events:
    """The events of one line; it is looked at beside every other."""
    store: dict[int, Events] = memo(table, "_events", dict)
    if line not in store:
        store[line] = Events(grid, (line,))
    return store[line]


def _two_sided(
    grid: Attacks,
    events: Events,
    a: int,
    b: int,
    octaves: int,
    mask: BoolArray,
    settings: Settings,
) -> list[Run]:
    """Runs in which nearly every attack of either line is met."""
    found = []
    for first, last in events.runs(mask, settings.doubling_noted, settings.doubling_min_met):
        run = _run(grid, a, b, octaves, mask, first, last, settings)
        if run and run.coverage in DOUBLED:
            found.append(run)
    return found


def _one_sided(
    grid: Attacks,
    events: Events,
    few: int,
    many: int,
    octaves: int,
    mask: BoolArray,
    covered: BoolArray,
    settings: Settings,
) -> list[Run]:
    """Runs in which every attack of `few` is met, while `many` has more of them."""
    found = []
    for first, last in events.runs(
        mask, settings.doubling_full, settings.doubling_min_met, covered=covered
    ):
        reach = _whole_bars(grid, few, first, last, covered)
        run = _run(grid, few, many, octaves, mask, first, last, settings, reach)
        if run is None or covered[first : last + 1].any():
            continue
        if run.a != few or run.of_b == run.of_a or _repeats(grid, run, first, last, settings):
            continue
        if run.coverage == "simplified" and _ornamented(grid, run, mask, first, last):
            run = replace(run, coverage="heterophonic")
        if run.coverage in {"simplified", "heterophonic", "reinforcement"}:
            found.append(run)
    return found


def _partial(
    grid: Attacks,
    events: Events,
    a: int,
    b: int,
    octaves: int,
    mask: BoolArray,
    covered: BoolArray,
    settings: Settings,
) -> list[Run]:
    """What is left: runs of bars in which some attacks meet in every bar."""
    found = []
    for first, last in events.runs(
        mask, settings.doubling_partial, settings.doubling_min_met, covered=covered, by_bar=True
    ):
        run = _run(grid, a, b, octaves, mask, first, last, settings)
        if run and run.coverage in {"partial", "reinforcement"} and not _one_pitch(grid, run):
            found.append(run)
    return found


def _run(
    grid: Attacks,
    a: int,
    b: int,
    octaves: int,
    mask: BoolArray,
    first: int,
    last: int,
    settings: Settings,
    reach: slice | None = None,
) -> Run | None:
    """The run from grid index `first` to `last`, or None if it is too short to be one.

    Attacks are counted in `reach` if given (one-sided runs: whole bars of the fuller line).
    """
    inside = slice(first, last + 1)
    at = mask[inside].nonzero()[0] + first
    if len(at) < settings.doubling_min_met:
        return None
    counted = reach or inside
    of_a = int(np.count_nonzero(grid.attacked[a][counted]))
    of_b = int(np.count_nonzero(grid.attacked[b][counted]))
    end = int(min(grid.end[a][last], grid.end[b][last]))
    if not _long_enough(grid, a, b, at, last, settings):
        return None
    coverage = classify(len(at), of_a, of_b, settings)
    if coverage in ONE_SIDED and of_a > of_b:
        a, b, of_a, of_b, octaves = b, a, of_b, of_a, -octaves
    return Run(
        a=a,
        b=b,
        octaves=octaves,
        coverage=coverage,
        start=int(grid.onset[first]),
        end=max(end, int(grid.onset[last]) + 1),
        first=int(grid.bar[first]),
        last=int(grid.bar[last]),
        met=len(at),
        of_a=of_a,
        of_b=of_b,
        at=grid.onset[at],
    )


def _long_enough(
    grid: Attacks, a: int, b: int, at: IntArray, last: int, settings: Settings
) -> bool:
    """At least so many bars long, or (nearly) all that the lines attack in so many bars."""
    need = settings.doubling_min_bars
    first = int(at[0])
    long = int(max(grid.end[a][last], grid.end[b][last])) - int(grid.onset[first])
    if long >= need * int(grid.bar_length[first]):
        return True
    whole = 0
    for bar, met in Counter(grid.bar[at].tolist()).items():
        i, j = grid.bar.searchsorted((bar, bar + 1))
        of_a = int(np.count_nonzero(grid.attacked[a][i:j]))
        of_b = int(np.count_nonzero(grid.attacked[b][i:j]))
        whole += 2 * met >= settings.doubling_full * (of_a + of_b)
    return whole >= need


def _whole_bars(grid: Attacks, few: int, first: int, last: int, covered: BoolArray) -> slice:
    """The run's bars as far as `few` attacks nothing else in them and no doubling covers them."""
    i, j = grid.bar.searchsorted((grid.bar[first], grid.bar[last] + 1))
    other = grid.attacked[few] | covered
    before, after = np.flatnonzero(other[i:first]), np.flatnonzero(other[last + 1 : j])
    begin = int(i + before[-1] + 1) if len(before) else int(i)
    end = int(last + 1 + after[0]) if len(after) else int(j)
    return slice(begin, end)


def _pitches(grid: Attacks, run: Run, line: int) -> IntArray:
    found: IntArray = grid.top[line][grid.onset.searchsorted(run.at)]
    return found


def _one_pitch(grid: Attacks, run: Run) -> bool:
    """Whether the lines meet on one pitch only; of chords, the side that has none tells."""
    heights = [_pitches(grid, run, line) for line in (run.a, run.b)]
    return any(bool((height == height[0]).all()) for height in heights)


def _repeats(grid: Attacks, run: Run, first: int, last: int, settings: Settings) -> bool:
    """Held notes against repeated ones: a pedal or a pulse, not a doubling.

    One pitch only; or, where `b` has the most of its attacks to itself, these only repeat what
    it has just played.
    """
    if _one_pitch(grid, run):
        return True
    if run.met / run.of_b >= settings.doubling_partial:
        return False
    inside = np.flatnonzero(grid.attacked[run.b][first : last + 1]) + first
    top = grid.top[run.b][inside]
    unmet = ~np.isin(grid.onset[inside], run.at)
    again = np.r_[False, top[1:] == top[:-1]]
    return bool(np.count_nonzero(again & unmet) >= settings.doubling_full * unmet.sum())


def _ornamented(grid: Attacks, run: Run, mask: BoolArray, first: int, last: int) -> bool:
    """Whether what `b` adds moves by step around the notes it shares."""
    inside = np.flatnonzero(grid.attacked[run.b][first : last + 1]) + first
    top = grid.top[run.b][inside]
    extra = ~mask[inside]
    gap = np.abs(np.diff(top, prepend=NONE))
    moved = (gap > 0) & (gap <= ORNAMENT)
    return bool(np.count_nonzero(extra & moved) > 0.5 * np.count_nonzero(extra))
