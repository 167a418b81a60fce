"""From clock ticks to notated time: the printed rhythm nearest to what was played."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from fractions import Fraction

from analysis.engine.formats.midi.events import File, broken
from analysis.engine.gate.limits import Limits

#: Grids in steps a quarter, coarse first: binary values and triplets, then finer ones.
GRIDS = (1, 2, 3, 4, 6, 8, 12, 16, 24, 32, 48, 5, 7, 10, 20)
#: Grids of note ends in exact files.
ENDS = (1, 2, 3, 4, 6, 8, 12, 16, 32)
#: What a played rhythm is drawn to: semiquavers and triplet quavers (the usual defaults).
COARSE = (4, 3)
_SCORE_LIKE = 0.95  # share of attacks on an exact grid that makes a file an exported score


@dataclass
class Grid:
    """Rounds ticks to quarters. `played` = the file is no exact score."""

    division: int
    played: bool
    known: dict[int, Fraction] = field(default_factory=dict)

    def near(self, tick: int) -> Fraction:
        """The notated time of a tick."""
        if tick not in self.known:
            self.known[tick] = self._near(tick)
        return self.known[tick]

    def _near(self, tick: int) -> Fraction:
        exact = Fraction(tick, self.division)
        if not self.played:
            allowed = Fraction(1, self.division)
            for steps in GRIDS:
                rounded = Fraction(round(exact * steps), steps)
                if abs(rounded - exact) <= allowed:
                    return rounded
        return min(
            (Fraction(round(exact * steps), steps) for steps in COARSE),
            key=lambda time: abs(time - exact),
        )

    def end(self, on: Fraction, off: int, after: Fraction | None) -> Fraction:
        """Where a note ends; a small gap before the next attack of its part is closed."""
        exact = Fraction(off, self.division)
        end = self._near_end(on, exact)
        if end <= on:
            end = on + Fraction(1, 4) if exact - on > Fraction(1, 8) else on + Fraction(1, 8)
        if after is not None and after > on:
            gap = after - max(exact, on)
            if 0 < gap <= max(Fraction(1, 16), (after - on) / 8):
                return after
            if end > after > exact:
                return after
        return end

    def _near_end(self, on: Fraction, exact: Fraction) -> Fraction:
        """Ends are let go early by players and programs alike: the plainest grid that is near.

        Triplets only where the note begins on one, or ends on one to the tick.
        """
        allowed = Fraction(1, self.division)
        triplets = on.denominator % 3 == 0
        if not self.played:
            for steps in ENDS:
                rounded = Fraction(round(exact * steps), steps)
                if abs(rounded - exact) <= allowed:
                    return rounded
        grids = (2, 4, 3, 6) if triplets else (2, 4, 8)
        for steps in grids:
            rounded = Fraction(round(exact * steps), steps)
            if abs(rounded - exact) <= Fraction(1, 16):
                return rounded
        return Fraction(round(exact * 4), 4)


def grid_of(file: File) -> Grid:
    """Whether the file's attacks stand on an exact grid."""
    exact = 0
    for note in file.notes:
        at = Fraction(note.on, file.division)
        exact += any(
            abs(Fraction(round(at * s), s) - at) <= Fraction(1, file.division) for s in (8, 12)
        )
    played = bool(file.notes) and exact < _SCORE_LIKE * len(file.notes)
    return Grid(file.division, played)


@dataclass(frozen=True, slots=True)
class Bar:
    start: Fraction  # quarters from the start of the file
    length: Fraction
    meter: tuple[int, int] | None  # where it changes


def bars_of(file: File, grid: Grid, limits: Limits) -> list[Bar]:
    """The bars up to the last note; a metre that changes within a bar ends it.

    Raises
    ------
    Refused
        If there are more bars than any movement has.
    """
    last = max((n.off for n in file.notes), default=0)
    if file.end > last and (file.end - last) / file.division > 4 * limits.bars:
        raise broken(f"goes on for more than {limits.bars} bars", "bars")
    until = max(grid.near(last), Fraction(1))
    meters = {grid.near(tick): (beats, unit) for tick, beats, unit in sorted(file.meters)}
    meters.setdefault(Fraction(0), (4, 4))
    times = sorted(meters)
    bars: list[Bar] = []
    for start, end in zip(times, [*times[1:], None], strict=True):
        beats, unit = meters[start]
        length = Fraction(4 * beats, unit)
        stop = max(until, start) if end is None else min(end, until)
        if (stop - start) / length + len(bars) > limits.bars:
            raise broken(f"has more than {limits.bars} bars", "bars")
        at = start
        while at < stop:
            held = length if end is None else min(length, end - at)
            bars.append(Bar(at, held, (beats, unit) if at == start else None))
            at += held
    return bars


def bar_at(starts: list[Fraction], time: Fraction) -> int:
    """Index of the bar a time lies in."""
    return max(0, bisect_right(starts, time) - 1)
