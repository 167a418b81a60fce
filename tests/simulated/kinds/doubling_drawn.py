"""Claims of doubling to draw: from runs there are, in sound or on paper only, and from others."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from tests.simulated import runs
from tests.simulated.expecting import Rule
from tests.simulated.judging import Asked
from tests.simulated.kinds import parallel
from tests.simulated.kinds.doubling import MOST_OCTAVES, READINGS, judge
from tests.simulated.kinds.shape import DrawnKind, Sort, span, within
from tests.simulated.music import Music


@dataclass(frozen=True)
class Fact:
    """`a` stands `octaves` above `b` in these bars."""

    a: int
    b: int
    octaves: int
    first: int
    last: int


def facts(music: Music, rng: random.Random, pairs: int = 90) -> list[Fact]:
    """Runs of pairs of single lines, of some pairs by chance."""
    every = list(combinations(music.melodic, 2))
    found: list[Fact] = []
    for a, b in rng.sample(every, min(pairs, len(every))):
        row = runs.whole_row(music, a, b, 0, music.bars - 1)
        gaps, counts = np.unique((row.a - row.b)[runs.classes_met(row)], return_counts=True)
        for gap, count in zip(gaps.tolist(), counts.tolist(), strict=True):
            if count < 6 or abs(gap) > 12 * MOST_OCTAVES:
                continue
            true = sorted(runs.surely(music, row, runs.octaves_met(row, gap // 12)))
            found += [Fact(a, b, gap // 12, *s) for s in stretches(true)]
    return found


def stretches(bars: Sequence[int]) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    for bar in bars:
        if found and found[-1][1] == bar - 1:
            found[-1] = (found[-1][0], bar)
        else:
            found.append((bar, bar))
    return found


def sorts(music: Music, rng: random.Random) -> list[Sort]:
    if len(music.melodic) < 2:
        return []
    known = facts(music, rng)
    shifted = [p for p in music.melodic if music.transposition(p) and music.attacking[p].any()]
    paper: list[Fact] = []
    for part in rng.sample(shifted, min(len(shifted), 3)):
        paper += [f for f in facts(music.as_written([part]), rng, 40) if part in (f.a, f.b)]
    thirds = parallel.facts(music, rng, 50)

    def of(pool: list[Fact], first: int = 0, last: int = 0) -> Asked | None:
        if not pool:
            return None
        fact = rng.choice(pool)
        bars = within(rng, fact.first, fact.last)
        a, b, octaves = fact.a, fact.b, fact.octaves
        if rng.random() < 0.5:
            a, b, octaves = b, a, -octaves
        fields = {"with": (b,), "octaves": octaves}
        return Asked("doubling", bars[0] + first, bars[1] + last, (a,), fields)

    def inside(asked: Asked | None) -> Asked | None:
        fits = asked and 0 <= asked.first <= asked.last < music.bars
        return asked if fits else None

    def true() -> Asked | None:
        found = of(known)
        chance = rng.random()
        if found and chance < 0.2:
            return found.but(octaves=None)
        if found and chance < 0.35:
            return found.but(octaves=abs(found.fields["octaves"]), direction=False)
        return found

    def chance() -> Asked:
        a, b = rng.sample(music.melodic, 2)
        fields = {"with": (b,), "octaves": rng.choice((None, 0, 0, 1, -1, 2, -2))}
        return Asked("doubling", *span(rng, music), (a,), fields)

    def edge() -> Asked | None:
        """To the very end of a run, which may lie within a bar, and a little over it."""
        if not known:
            return None
        fact = rng.choice(known)
        first = max(fact.first, fact.last - rng.randint(0, 6))
        fields = {"with": (fact.b,), "octaves": fact.octaves}
        return inside(Asked("doubling", first, fact.last + rng.randint(0, 3), (fact.a,), fields))

    def distance() -> Asked | None:
        found = of(known)
        if found is None:
            return None
        return found.but(octaves=found.fields["octaves"] + rng.choice((-2, -1, 1, 2)))

    def third() -> Asked | None:
        if not thirds:
            return None
        fact = rng.choice(thirds)
        bars = within(rng, fact.first, fact.last)
        fields = {"with": (fact.b,), "octaves": rng.choice((None, 0, 1, -1))}
        return Asked("doubling", *bars, (fact.a,), fields)

    def moved() -> Asked | None:
        if not known:
            return None
        fact = rng.choice(known)
        by = rng.choice((-1, 1))
        bars = (fact.first, min(fact.last, fact.first + 3))
        if by > 0:
            bars = (max(fact.first, fact.last - 3), fact.last)
        fields = {"with": (fact.b,), "octaves": fact.octaves}
        return inside(Asked("doubling", bars[0] + by, bars[1] + by, (fact.a,), fields))

    def on_paper() -> Asked | None:
        return of(paper)

    def near() -> Asked | None:
        """Lines that share half of their attacks, told as a full doubling or as a partial one."""
        for _ in range(40):
            a, b = rng.sample(music.melodic, 2)
            bars = span(rng, music, 4)
            row = runs.row_of(music, a, b, *bars)
            if row is None or not len(row.onset):
                continue
            gaps = np.unique((row.a - row.b)[runs.classes_met(row)])
            for gap in gaps.tolist():
                met = runs.octaves_met(row, gap // 12)
                if runs.in_part(music, row, met, range(bars[0], bars[1] + 1)):
                    fields = {"with": (b,), "octaves": gap // 12}
                    coverage = rng.choice(("full", "partial"))
                    return Asked("doubling", *bars, (a,), {**fields, "coverage": coverage})
        return None

    def level() -> Asked | None:
        pool = [f for f in known if abs(f.octaves) <= 1]
        if not pool:
            return None
        fact = rng.choice(pool)
        right = abs(fact.octaves) + 1
        levels = right if rng.random() < 0.6 else 3 - right
        return Asked("doubling", *within(rng, fact.first, fact.last), (fact.a, fact.b),
                     {"levels": levels})  # fmt: skip

    def nobody() -> Asked | None:
        """Nobody doubles it: of a part by chance, or of one that is doubled."""
        pool = [p for p in music.melodic if music.attacking[p].any()]
        part = rng.choice(pool)
        bars = span(rng, music, 4)
        if known and rng.random() < 0.4:
            fact = rng.choice(known)
            part, bars = fact.b, within(rng, fact.first, fact.last)
        if not music.attacking[part, bars[0] : bars[1] + 1].all():
            return None
        return Asked("doubling", *bars, (part,), {"coverage": "none"}, rng.random() < 0.15)

    def negated() -> Asked | None:
        found = rng.choice((true, chance, distance, third))()
        return replace(found, negated=True) if found else None

    def several() -> Asked | None:
        """A group of three of which one does not go along, or all do."""
        if not known:
            return None
        fact = rng.choice(known)
        same = [f.a for f in known if f.b == fact.b and f.octaves == fact.octaves
                and f.first <= fact.first and f.last >= fact.last]  # fmt: skip
        who = list(dict.fromkeys([fact.a, *same]))[:3]
        if rng.random() < 0.6:
            who.append(rng.choice([p for p in music.melodic if p != fact.b]))
        who = list(dict.fromkeys(who))
        fields = {"with": (fact.b,), "octaves": fact.octaves}
        return Asked("doubling", *within(rng, fact.first, fact.last), tuple(sorted(who)), fields)

    return [("true", False, true), ("chance", False, chance), ("edge", True, edge),
            ("true", False, true), ("distance", True, distance), ("third", True, third),
            ("moved", True, moved), ("paper", True, on_paper), ("near", True, near),
            ("levels", False, level), ("nobody", False, nobody), ("negated", False, negated),
            ("several", True, several)]  # fmt: skip


KIND = DrawnKind(Rule(judge, READINGS), sorts)
