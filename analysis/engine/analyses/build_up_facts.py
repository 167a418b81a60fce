"""Build-ups and thinning-out: where several curves of a score rise, or fall, together.

The curves (`build_up_curves`) are put into units, `TELLING` of each to the unit, and their sum,
smoothed over three bars, is followed from low to high turning points. A stretch from low to high is
a build-up if it lasts `Settings.build_up_bars` bars or longer, comes by degrees, and at least
`Settings.build_up_legs` of the curves rise in it: not only at its goal, but before. What rises is
told apart from what does not; a curve that cannot be known (no printed dynamics) is in neither
list. A printed crescendo is not asked for. Falling alike, with the forces among what falls, it is a
thinning-out.

Source: trade facts 9 (at least two of more parts, louder, higher, faster rhythm, over four bars or
more; the goal is an event of its own). The units are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.build_up_curves import LEGS, Floats, curves
from analysis.engine.model import Movement, ScoreTable
from analysis.engine.settings import Settings

#: most bars of a build-up
MOST = 40
#: one shorter than so many bars needs so many curves more
SHORT, MORE = 6, 1
#: a telling rise: lines, degrees of loudness, semitones, attacks in a beat, units of harmony
TELLING = {"forces": 4.0, "loudness": 1.5, "height": 6.0, "rhythm": 0.8, "harmony": 1.5}
#: of the lines of a small score this share is telling
FORCES = 0.3
#: units of the sum between two turning points
TURN = 2.0
#: most of the rise that may come in one bar
JUMP = 0.6
#: share of a telling rise below which a curve does not rise; of it before the goal
STILL, BEFORE = 0.35, 0.3
#: share of the way at which it begins, and has arrived
BEGIN, ARRIVE = 0.15, 0.9


@dataclass(frozen=True, slots=True)
class Swing:
    """Bars `first` to `goal` (the arrival, not of the rise itself); `way` 1 up, -1 down.

    `by` and `without` are names of curves; `values` start and goal of each known curve.
    """

    first: int
    goal: int
    way: int
    by: tuple[str, ...]
    without: tuple[str, ...]
    values: dict[str, tuple[float, float]]


def swings(table: ScoreTable, settings: Settings, *, more: int = MORE) -> list[Swing]:
    """All build-ups and thinnings-out of a table, by place.

    `more`: curves asked for besides where it is short. Unasked, one is not told of every little
    rise; where somebody has named the place, the settings alone count.
    """
    least = max(2, settings.build_up_bars), settings.build_up_legs, more
    return memo(table, f"_build_ups-{least}", lambda: _swings(table, least))


def _swings(table: ScoreTable, least: tuple[int, int, int]) -> list[Swing]:
    found = []
    for movement in table.movements:
        if movement.last_bar - movement.first_bar < least[0]:
            continue
        mine = _movement_curves(table, movement)
        unit = dict(TELLING)
        lines = float(np.nanmax(mine["forces"]))
        unit["forces"] = max(2.0, min(TELLING["forces"], FORCES * lines))
        total = _tension(mine, unit)
        for way in (1, -1):
            for low, high in _turns(way * total):
                one = _swing(mine, unit, way, way * total, (low, high), least)
                if one:
                    found.append(_shifted(one, movement.first_bar))
    return sorted(found, key=lambda x: (x.first, -x.way))


def risen(table: ScoreTable, name: str, first: int, last: int) -> bool | None:
    """Whether a curve is higher in the last quarter of these bars than in the first; None: unknown.

    Says what is plainly not so; that something is a build-up is said by `swings` alone.
    """
    curve = curves(table)[name][first : last + 1]
    part = max(1, len(curve) // 4)
    begin, end = curve[:part], curve[-part:]
    if np.isnan(begin).all() or np.isnan(end).all():
        return None
    return bool(np.nanmean(end) - np.nanmean(begin) > STILL * TELLING[name])


def turns_back(one: Swing, name: str) -> bool:
    """Whether a known curve goes the other way, by more than what counts as still."""
    start, end = one.values[name]
    return one.way * (start - end) > STILL * TELLING[name]


def _shifted(one: Swing, by: int) -> Swing:
    return Swing(one.first + by, one.goal + by, one.way, one.by, one.without, one.values)


def _movement_curves(table: ScoreTable, movement: Movement) -> dict[str, Floats]:
    bars = slice(movement.first_bar, movement.last_bar + 1)
    return {name: curve[bars] for name, curve in curves(table).items()}


def _tension(mine: dict[str, Floats], unit: dict[str, float]) -> Floats:
    """Sum of the curves in units, over three bars; harmony, which flickers, counts half."""
    total = np.zeros(len(mine["forces"]))
    for name, curve in mine.items():
        known = ~np.isnan(curve)
        if not known.any():
            continue
        at = np.arange(len(curve))
        filled = np.interp(at, at[known], curve[known])
        total += filled / unit[name] * (0.5 if name == "harmony" else 1.0)
    padded = np.r_[total[:1], total, total[-1:]]
    smooth: Floats = (padded[:-2] + 2 * padded[1:-1] + padded[2:]) / 4
    return smooth


def _turns(curve: Floats) -> list[tuple[int, int]]:
    """Stretches from a low to a high turning point, at least `TURN` apart (zigzag)."""
    found = []
    low = high = 0
    rising = False
    for k, value in enumerate(curve.tolist()):
        if rising:
            if value >= curve[high]:
                high = k
            elif curve[high] - value >= TURN:
                found.append((low, high))
                rising, low = False, k
        elif value <= curve[low]:
            low = k
        elif value - curve[low] >= TURN:
            rising, high = True, k
    if rising:
        found.append((low, high))
    return found


def _swing(
    mine: dict[str, Floats],
    unit: dict[str, float],
    way: int,
    curve: Floats,
    turns: tuple[int, int],
    least: tuple[int, int, int],
) -> Swing | None:
    """The build-up between two turning points, if it is one; `least` bars, legs, more if short."""
    low, high = turns
    rise = float(curve[high] - curve[low])
    span = curve[low : high + 1]
    first = low + int(np.flatnonzero(span <= curve[low] + BEGIN * rise)[-1])
    after = curve[first : high + 1]
    goal = first + int(np.flatnonzero(after >= curve[low] + ARRIVE * rise)[0])
    length = goal - first
    if not least[0] <= length <= MOST or np.diff(curve[first : goal + 1]).max() > JUMP * rise:
        return None
    by, without, values = [], [], {}
    for name in LEGS:
        start, before, end = _course(mine[name], first, goal)
        if np.isnan(start) or np.isnan(end):
            continue
        grown = way * (end - start)
        values[name] = _edges(mine[name], first, goal, (start, end))
        if grown >= unit[name] and way * (before - start) >= BEFORE * unit[name]:
            by.append(name)
        elif grown <= STILL * unit[name]:
            without.append(name)
    if len(by) < least[1] + (least[2] if length < SHORT else 0) or (way < 0 and "forces" not in by):
        return None
    if way > 0 and set(by) <= {"rhythm", "harmony"}:
        return None  # livelier, not yet growing
    return Swing(first, goal, way, tuple(by), tuple(without), values)


def _course(curve: Floats, first: int, goal: int) -> tuple[float, float, float]:
    """Mean of the beginning, of the second half before the goal, and of the end with the goal.

    The bar before the goal is left out of the half: the sum is smoothed, and what comes with the
    arrival may stand a bar before its goal.
    """
    part = max(1, (goal - first) // 4)
    half = min((first + goal + 1) // 2, goal - 2)
    pieces = (
        curve[first : first + part],
        curve[half : goal - 1],
        curve[goal - part + 1 : goal + 2],
    )
    means = [float(np.nanmean(p)) if not np.isnan(p).all() else float("nan") for p in pieces]
    return means[0], means[1], means[2]


def _edges(curve: Floats, first: int, goal: int, means: tuple[float, float]) -> tuple[float, float]:
    """What stands in the first bar and at the goal, to be named; means where that misleads."""
    start, end = float(curve[first]), float(curve[goal])
    if (end - start) * (means[1] - means[0]) > 0 and abs(end - start) >= abs(means[1] - means[0]):
        return start, end
    return means
