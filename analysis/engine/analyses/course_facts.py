"""With whom a part goes along the bars: the steps of its course, by doublings alone.

A step is a stretch of bars in which the same lines of other parts double the line (full runs of
`runs`, whatever the octave), or in which nobody does. At every bar the partners that stay longest
are taken, so that a course has as few steps as it can. All limits are common practice, without a
printed source.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass, replace

import numpy as np

from analysis.engine.analyses.attacks import BoolArray, attacks, memo
from analysis.engine.analyses.doubling import all_runs, run_bars
from analysis.engine.analyses.spans import true_spans
from analysis.engine.model import ScoreTable
from analysis.engine.settings import Settings

#: bars of rest at which a course ends; a shorter rest is a breath within it
REST = 2
#: bars a step must last to be one; a shorter one is a blemish of the steps around it
STEP = 2

#: the number of a player in a line's name
_NUMBER = re.compile(r"\b(?:\d+|[IV]+)\b\.?")

#: partners by line: octaves of the line above them
Partners = dict[int, int]


@dataclass(frozen=True, slots=True)
class Step:
    """Bars (inclusive) with one and the same company: (line, octaves above it), or none.

    The octaves are None where they change within the step.
    """

    first: int
    last: int
    company: tuple[tuple[int, int | None], ...]

    @property
    def who(self) -> frozenset[int]:
        return frozenset(line for line, _ in self.company)

    @property
    def bars(self) -> int:
        return self.last - self.first + 1

    @property
    def octaves(self) -> int | None:
        """The one distance to all of them, None where there are several or nobody."""
        distances = {octaves for _, octaves in self.company}
        return distances.pop() if len(distances) == 1 else None


def partners(table: ScoreTable, settings: Settings) -> dict[int, dict[int, Partners]]:
    """By line and bar, who of another desk doubles the line fully, and at which distance."""

    def build() -> dict[int, dict[int, Partners]]:
        found: dict[int, dict[int, Partners]] = defaultdict(lambda: defaultdict(dict))
        desk = desks(table)
        for run in all_runs(table, settings):
            if run.coverage not in {"full", "noted"} or desk[run.a] == desk[run.b]:
                continue
            for bar in run_bars(table, run):
                found[run.a][bar].setdefault(run.b, run.octaves)
                found[run.b][bar].setdefault(run.a, -run.octaves)
        return found

    return memo(table, f"_partners-{hash(settings)}", build)


def desks(table: ScoreTable) -> tuple[tuple[str, str], ...]:
    """Which lines are players of one kind ("Clarinet 1" and "2"), on one staff or on two.

    Sections of strings are each their own.
    """

    def build() -> tuple[tuple[str, str], ...]:
        found = []
        for line in table.lines:
            if line.family == "strings":
                found.append((line.instrument, f"part {line.part}"))
            else:
                found.append((line.instrument, _NUMBER.sub("", line.name).strip().casefold()))
        return tuple(found)

    return memo(table, "_desks", build)


def playing_bars(table: ScoreTable, line: int) -> BoolArray:
    """Bars in which the line attacks a note; shared, not to be written to."""

    def build() -> BoolArray:
        grid = attacks(table)
        bars = np.zeros(len(table.bars), dtype=bool)
        bars[grid.bar[grid.attacked[line]]] = True
        bars.setflags(write=False)
        return bars

    return memo(table, f"_playing_bars_{line}", build)


def stretches(table: ScoreTable, bars: BoolArray) -> list[tuple[int, int]]:
    """Spans of true bars, joined over rests shorter than `REST`."""
    joined: list[tuple[int, int]] = []
    for first, last in true_spans(table, bars):
        same = joined and table.bars[joined[-1][1]].movement == table.bars[first].movement
        if same and first - joined[-1][1] - 1 < REST:
            joined[-1] = (joined[-1][0], last)
        else:
            joined.append((first, last))
    return joined


def steps(table: ScoreTable, line: int, first: int, last: int, settings: Settings) -> list[Step]:
    """The steps of `line` from bar `first` to `last`; blemishes taken into their neighbours."""
    company = partners(table, settings).get(line, {})
    plays = playing_bars(table, line)
    found: list[Step] = []
    at = first
    while at <= last:
        step = _step(company, plays, at, last)
        found.append(step)
        at = step.last + 1
    return _smoothed(found, company, plays)


def _step(company: dict[int, Partners], plays: BoolArray, at: int, last: int) -> Step:
    """From bar `at` as far as the most faithful partner goes; bars of rest go along."""
    here = set(company.get(at, {}))
    end = at
    while end < last:
        following = end + 1
        if plays[following]:
            there = set(company.get(following, {}))
            if (here and not here & there) or (not here and there):
                break
            here &= there
        end = following
    return _made(company, at, end, here)


def _made(company: dict[int, Partners], first: int, last: int, who: set[int]) -> Step:
    found: list[tuple[int, int | None]] = []
    for line in sorted(who):
        apart = {company[b][line] for b in range(first, last + 1) if line in company.get(b, {})}
        found.append((line, apart.pop() if len(apart) == 1 else None))
    return Step(first, last, tuple(found))


def _smoothed(found: list[Step], company: dict[int, Partners], plays: BoolArray) -> list[Step]:
    """Join neighbours with common company, over a step shorter than `STEP` too."""
    joined: list[Step] = []
    for step in found:
        back = 0
        if joined and (joined[-1].who & step.who or joined[-1].who == step.who):
            back = 1
        elif len(joined) >= 2 and joined[-1].bars < STEP and joined[-2].who & step.who:
            back = 2
        if back:
            first, common = joined[-back].first, joined[-back].who & step.who
            joined[-back:] = [_made(company, first, step.last, set(common))]
        else:
            joined.append(step)
    return [replace(s, last=_last_played(s, plays)) for s in joined]


def _last_played(step: Step, plays: BoolArray) -> int:
    """The last bar of the step with a note: rests at its end belong to nobody."""
    inside = np.flatnonzero(plays[step.first : step.last + 1])
    return step.first + int(inside[-1]) if len(inside) else step.last
