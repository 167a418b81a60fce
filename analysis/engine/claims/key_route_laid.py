"""A claimed route of keys laid beside the one that was found, step by step, in order.

A relative or parallel key is half a step right; keys that are only touched, or reach over an edge
of the claimed bars, may be named and need not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from analysis.engine.analyses.key_route import Stretch
from analysis.engine.claims.base import Bars
from analysis.engine.pitch import Key

#: worth of a step that names the relative or the parallel key
AKIN = 0.5
#: bars of a settled key inside the claimed ones, from which it must be named; common practice
EDGE = 2
#: touched keys of the claimed bars that are tried at most, the longest first
TRIED = 8


@dataclass(frozen=True, slots=True)
class Laid:
    """A claimed route laid beside one of the score."""

    keys: tuple[Stretch, ...]  # what it is laid beside, neighbours of one key joined
    pairs: tuple[tuple[int, int, float], ...]  # claimed step, key of the score, its worth
    steps: int  # claimed ones, and those left out

    @property
    def share(self) -> float:
        return sum(worth for _, _, worth in self.pairs) / max(self.steps, 1)


def joined(keys: Sequence[Key]) -> list[Key]:
    kept: list[Key] = []
    for key in keys:
        if not kept or kept[-1].sound != key.sound:
            kept.append(key)
    return kept


def lay(wanted: Sequence[Key], here: Sequence[Stretch], bars: Bars, *, touched: bool) -> Laid:
    """The best way to lay the claimed keys beside those of the score, in order.

    Settled keys must be named, unless they only reach over an edge of the claimed bars; keys that
    are touched may be, where the claim allows for them.
    """
    named = {k.sound for k in wanted}
    # what is only touched, or lies at an edge, is tried with and without
    free = [
        k
        for k, s in enumerate(here)
        if (touched or s.settled) and s.key.sound in named and not must(bars, here, k)
    ]
    free = sorted(free, key=lambda k: -here[k].bars)[:TRIED]
    fixed = [k for k in range(len(here)) if must(bars, here, k)]
    best: Laid | None = None
    for size in range(len(free) + 1):
        for some in combinations(free, size):
            keys: list[Stretch] = []
            for k in sorted((*fixed, *some)):
                if not keys or keys[-1].key.sound != here[k].key.sound:
                    keys.append(here[k])
            laid = align(wanted, keys)
            if best is None or laid.share > best.share:
                best = laid
    assert best is not None
    return best


def must(bars: Bars, here: Sequence[Stretch], k: int) -> bool:
    """Whether a stretch has to be named: settled, and more than an edge of the claimed bars."""
    inside = min(here[k].last, bars.last) - max(here[k].first, bars.first) + 1
    return here[k].settled and (len(here) == 1 or inside >= EDGE)


def align(wanted: Sequence[Key], keys: Sequence[Stretch]) -> Laid:
    """Pairs in order with the greatest worth (Needleman and Wunsch, without a cost for gaps)."""
    n, m = len(wanted), len(keys)
    best = [[0.0] * (m + 1) for _ in range(n + 1)]
    for i in range(1, n + 1):
        for j in range(1, m + 1):
            pair = best[i - 1][j - 1] + value_of(wanted[i - 1], keys[j - 1].key)
            best[i][j] = max(best[i - 1][j], best[i][j - 1], pair)
    pairs = []
    i, j = n, m
    while i and j:
        worth = value_of(wanted[i - 1], keys[j - 1].key)
        if worth and best[i][j] == best[i - 1][j - 1] + worth:
            pairs.append((i - 1, j - 1, worth))
            i, j = i - 1, j - 1
        elif best[i][j] == best[i - 1][j]:
            i -= 1
        else:
            j -= 1
    return Laid(tuple(keys), tuple(reversed(pairs)), n + m - len(pairs))


def value_of(claimed: Key, found: Key) -> float:
    if claimed.sound == found.sound:
        return 1.0
    return AKIN if claimed.sound in (found.relative.sound, found.parallel.sound) else 0.0


def unpaired(laid: Laid) -> list[Stretch]:
    paired = {k for _, k, worth in laid.pairs if worth == 1.0}
    return [s for k, s in enumerate(laid.keys) if k not in paired]


def touched_only(wanted: Sequence[Key], brief: frozenset[object], laid: Laid) -> list[Key]:
    """Claimed keys that are no step of the route, but are touched in the claimed bars."""
    paired = {step for step, _, worth in laid.pairs if worth == 1.0}
    return [k for n, k in enumerate(wanted) if n not in paired and k.sound in brief]
