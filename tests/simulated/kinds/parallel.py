"""Two lines that move together in thirds, sixths or tenths."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from tests.simulated import runs
from tests.simulated.expecting import BASS_WRITTEN, PLACE, UNTRANSPOSED, Reading, Rule, Variant
from tests.simulated.judging import WRONG, Asked, Between, Verdicts, denied, place_of, together
from tests.simulated.kinds.shape import DrawnKind, Sort, span, within
from tests.simulated.music import Bools, Music
from tests.simulated.runs import Row

#: semitones of the minor and the major one
INTERVALS = {"third": (3, 4), "sixth": (8, 9), "tenth": (15, 16)}
#: the spelling is not in the tables: semitones that a rarely spelled third may have as well
RARE = {"third": (2, 5), "sixth": (7, 10), "tenth": (14, 17)}
NEAR = 0.6
#: fewer different pitches than this is a chord repeated: whether that moves is not said
MOTION = 2


def together_at(row: Row, interval: str, side: int, *, rare: bool = False) -> Bools:
    """`a` stands the interval above `b` (side 1) or below it (-1)."""
    allowed = [*INTERVALS[interval], *(RARE[interval] if rare else ())]
    found: Bools = row.both & np.isin(side * (row.a - row.b), allowed)
    return found


def _sets(music: Music, row: Row, intervals: Sequence[str]) -> tuple[set[int], set[int], set[int]]:
    """Bars surely so, possibly full, possibly most of the way."""
    sure: set[int] = set()
    full: set[int] = set()
    most: set[int] = set()
    for interval in intervals:
        for side in (1, -1):
            sure |= runs.surely(music, row, together_at(row, interval, side), motion=MOTION)
        both = together_at(row, interval, 1, rare=True) | together_at(row, interval, -1, rare=True)
        full |= runs.possibly(music, row, both, 0.88)
        most |= runs.possibly(music, row, both, NEAR - 0.1)
    return sure, full | sure, most | sure


def bars_of(
    music: Music, asked: Asked, part: int, intervals: Sequence[str]
) -> tuple[set[int], set[int]] | None:
    """Bars in which a part surely, and possibly, goes so with one of `with`."""
    sure: set[int] = set()
    full: set[int] = set()
    for other in asked.fields["with"]:
        row = runs.row_of(music, part, other, asked.first, asked.last)
        if row is None:
            return None
        found = _sets(music, row, intervals)
        sure |= found[0]
        full |= found[1]
    return sure, full


_CLASS = {"third": ("third", "tenth"), "tenth": ("third", "tenth"), "sixth": ("sixth",)}


def judge(music: Music, asked: Asked) -> Between | None:
    wanted, bars = asked.fields["interval"], asked.bars
    lows, highs = [], []
    exact: tuple[set[int], set[int]] = (set(), set())
    for part in asked.parts:
        sets: list[set[int]] = [set(), set(), set(), set()]
        for other in asked.fields["with"]:
            row = runs.row_of(music, part, other, asked.first, asked.last)
            if row is None:
                return None
            sure, full, most = _sets(music, row, [wanted])
            # Octaves more or less between the lines: near or wrong, the contract does not say.
            gap = np.abs(row.a - row.b) % 12
            steps = {3, 4, 8, 9, 2, 5, 7, 10}
            wide = runs.possibly(music, row, row.both & np.isin(gap, list(steps)), NEAR - 0.1)
            for k, found in enumerate((sure, full, most, wide)):
                sets[k] |= found
        exact[0].update(sets[0])
        exact[1].update(sets[2])
        lows.append(Verdicts(place=place_of(sets[0], bars)) if sets[0] & set(bars) else WRONG)
        ways = [(sets[1], RIGHT_WAY), (sets[2] | sets[3], NEAR_WAY)]
        best = [v._replace(place=place_of(s, bars)) for s, v in ways if s & set(bars)]
        highs.append(min(best, key=lambda v: (v.any_wrong, list(v).count("near")), default=WRONG))
    if asked.negated:
        return denied(*exact, bars)
    return Between(together(lows), together(highs))


RIGHT_WAY, NEAR_WAY = Verdicts(), Verdicts(relation="near")


def _octave_count(music: Music, asked: Asked) -> Iterator[Variant]:
    for interval in _CLASS[asked.fields["interval"]]:
        if interval != asked.fields["interval"]:
            yield Variant(music, asked.but(interval=interval))


@dataclass(frozen=True)
class Fact:
    """`a` and `b` move in this interval in these bars."""

    a: int
    b: int
    interval: str
    first: int
    last: int


def facts(music: Music, rng: random.Random, pairs: int = 90) -> list[Fact]:
    every = list(combinations(music.melodic, 2))
    found: list[Fact] = []
    for a, b in rng.sample(every, min(pairs, len(every))):
        row = runs.whole_row(music, a, b, 0, music.bars - 1)
        for interval in INTERVALS:
            for side in (1, -1):
                met = together_at(row, interval, side)
                if met.sum() < 6:
                    continue
                bars = sorted(runs.surely(music, row, met, motion=MOTION))
                start = None
                for k, bar in enumerate(bars):
                    start = bar if start is None else start
                    if k + 1 == len(bars) or bars[k + 1] != bar + 1:
                        found.append(Fact(a, b, interval, start, bar))
                        start = None
    return found


def sorts(music: Music, rng: random.Random) -> list[Sort]:
    if len(music.melodic) < 2:
        return []
    known = facts(music, rng)

    def true() -> Asked | None:
        if not known:
            return None
        fact = rng.choice(known)
        a, b = (fact.a, fact.b) if rng.random() < 0.5 else (fact.b, fact.a)
        fields = {"with": (b,), "interval": fact.interval}
        return Asked("parallel", *within(rng, fact.first, fact.last), (a,), fields)

    def chance() -> Asked:
        a, b = rng.sample(music.melodic, 2)
        fields = {"with": (b,), "interval": rng.choice(list(INTERVALS))}
        return Asked("parallel", *span(rng, music), (a,), fields)

    def other() -> Asked | None:
        """Another interval than it is: a sixth for a third, a tenth for a third."""
        found = true()
        if found is None:
            return None
        rest = [i for i in INTERVALS if i != found.fields["interval"]]
        return found.but(interval=rng.choice(rest))

    def edge() -> Asked | None:
        if not known:
            return None
        fact = rng.choice(known)
        first = max(fact.first, fact.last - rng.randint(0, 4))
        last = fact.last + rng.randint(0, 3)
        fields = {"with": (fact.b,), "interval": fact.interval}
        return Asked("parallel", first, last, (fact.a,), fields) if last < music.bars else None

    def moved() -> Asked | None:
        found, by = true(), rng.choice((-1, 1))
        if found is None or not 0 <= found.first + by <= found.last + by < music.bars:
            return None
        return found.moved(by)

    def octaves() -> Asked | None:
        """An octave doubling told as thirds: the lines are the same, not a third apart."""
        a, b = rng.sample(music.melodic, 2)
        first, last = span(rng, music, 4)
        row = runs.row_of(music, a, b, first, last)
        if row is None or not len(row.onset):
            return None
        if not set(range(first, last + 1)) <= runs.surely(music, row, runs.classes_met(row)):
            return None
        return Asked("parallel", first, last, (a,), {"with": (b,), "interval": "third"})

    def negated() -> Asked | None:
        found = rng.choice((true, chance, other))()
        return replace(found, negated=True) if found else None

    return [("true", False, true), ("chance", False, chance), ("other", True, other),
            ("edge", True, edge), ("moved", True, moved), ("octaves", True, octaves),
            ("negated", False, negated)]  # fmt: skip


READINGS = (
    *PLACE,
    BASS_WRITTEN,
    Reading("octave-count", "partly", "pitch", _octave_count),
    UNTRANSPOSED,
)
KIND = DrawnKind(Rule(judge, READINGS), sorts)
