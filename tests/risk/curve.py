"""The arithmetic: flags of statements against their truth, as a threshold moves."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

#: thresholds asked
GRID = (0.0, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)


@dataclass(frozen=True)
class Flagged:
    """One statement and what was said of it.

    `flags`: by threshold of confidence, the flag where a conflict needs no more than that;
    `sure`: the confidence behind it. `conflict` decides of "conflicts" on top.
    """

    kind: str
    sort: str
    true: bool
    movement: str
    flags: dict[float, str]
    sure: dict[float, float]

    def at(self, least: float, conflict: float) -> str:
        """The flag at a threshold of confidence and one of conflicts."""
        flag = self.flags[least]
        return "ear" if flag == "conflicts" and self.sure[least] < conflict else flag


@dataclass(frozen=True)
class Point:
    """What is decided at one pair of thresholds, and how often that is right.

    Shares and precisions weigh true and false statements so that half of them are false; the
    counts are plain.
    """

    least: float
    conflict: float
    decided: float  # share with a flag that is not "ear"
    agrees: float | None  # precision of "agrees"; None: none
    conflicts: float | None
    counts: dict[tuple[bool, str], int]

    def plain(self, flag: str, right: bool) -> float | None:
        """Precision as counted, with as many false statements as were made."""
        hits, misses = self.counts.get((right, flag), 0), self.counts.get((not right, flag), 0)
        return hits / (hits + misses) if hits + misses else None


def point(found: Sequence[Flagged], least: float, conflict: float) -> Point:
    counts: dict[tuple[bool, str], int] = {}
    for one in found:
        what = one.true, one.at(least, conflict)
        counts[what] = counts.get(what, 0) + 1
    size = {truth: sum(n for (t, _), n in counts.items() if t is truth) for truth in (True, False)}

    def share(flag: str, truth: bool) -> float:
        return counts.get((truth, flag), 0) / size[truth] / 2 if size[truth] else 0.0

    def precision(flag: str, truth: bool) -> float | None:
        hits, misses = share(flag, truth), share(flag, not truth)
        return hits / (hits + misses) if hits + misses else None

    ear = share("ear", True) + share("ear", False)
    both = sum(0.5 for n in size.values() if n)
    return Point(
        least,
        conflict,
        both - ear,
        precision("agrees", True),
        precision("conflicts", False),
        counts,
    )


def curve(found: Sequence[Flagged], conflict: float) -> list[Point]:
    """All points of the grid, the threshold of conflicts moving along where it is the higher."""
    return [point(found, least, max(least, conflict)) for least in GRID]


def best(points: Iterable[Point], agrees: float, conflicts: float, decided: float) -> Point | None:
    """The point that decides most of those that keep all three limits; None if there is none."""
    kept = [
        p for p in points
        if p.decided >= decided
        and (p.agrees is None or p.agrees >= agrees)
        and (p.conflicts is None or p.conflicts >= conflicts)
    ]  # fmt: skip
    return max(kept, key=lambda p: (p.decided, p.least), default=None)
