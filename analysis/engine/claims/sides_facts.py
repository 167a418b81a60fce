"""Where a part goes with a side, by pitch, rhythm or role: stretches found from the score alone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from analysis.engine import names
from analysis.engine.analyses.attacks import BoolArray
from analysis.engine.analyses.sides import JUDGED, MARGIN, NO_SIDE, By, goes_with, sides
from analysis.engine.claims.base import Bound, Scene
from analysis.engine.claims.facts import Fact, with_tutor
from analysis.engine.claims.fields import PartField
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import ScoreTable
from analysis.engine.names import Named

#: fewest bars of play in which going with somebody is a side taken; common practice
LEAST = 3


@dataclass(frozen=True)
class SideTaken:
    """A side as claimed: its lines, and its name if it is a whole family."""

    lines: tuple[int, ...]
    label: str
    family: str | None

    @classmethod
    def of(cls, table: ScoreTable, named: Named) -> SideTaken:
        lines = tuple(dict.fromkeys(i for u in named.units for i in u.lines))
        families = {table.lines[i].family for i in lines}
        whole = named.how == "collective" and len(families) == 1
        label = ", ".join(u.label for u in named.units[:3])
        return cls(lines, label, families.pop() if whole else None)


def facts(scene: Scene, bound: Bound, lines: Sequence[int], side: SideTaken, by: By) -> list[Fact]:
    """Stretches in which the lines go with the side. ``detail``: bars met, and bars of play.

    ``value["both"]``: with another family as much (the next lies less than `MARGIN` behind).
    """
    table, settings = scene.table, scene.settings
    found: list[Fact] = []
    for line in lines:
        plays, met = goes_with(table, bound.movement, line, list(side.lines), by)
        rivals = _rivals(scene, bound, line, side, by)
        for first, last in segments(plays, met, settings.sides_share):
            found.append(_fact(bound, line, by, plays, met, rivals, first, last))
        for told in sides(table, bound.movement, line, settings):
            own = (
                told.side == side.family
                if isinstance(told.side, str)
                else (told.side in side.lines)
            )
            if own and told.by == by:
                low = bound.movement.first_bar
                found.append(
                    _fact(bound, line, by, plays, met, (), told.first - low, told.last - low)
                )
    own_lines = list(lines)
    taught = with_tutor(found, scene, "sides-with", own_lines)
    return [f for f in taught if f.tutor is None or _tutors(scene, bound, f, side, by)]


def _fact(
    bound: Bound,
    line: int,
    by: By,
    plays: BoolArray,
    met: BoolArray,
    rivals: Iterable[BoolArray],
    first: int,
    last: int,
) -> Fact:
    here = slice(first, last + 1)
    count, of = int(met[here].sum()), int(plays[here].sum())
    most = max((int(r[here].sum()) for r in rivals), default=0)
    start = bound.movement.first_bar
    share = count / max(of, 1)
    return Fact(
        frozenset(range(start + first, start + last + 1)),
        {"by": by, "both": count - most < MARGIN * of and most > 0},
        (line,),
        min(share, 1.0) * (JUDGED if by == "role" else 1.0),
        detail=(count, of),
    )


def _rivals(scene: Scene, bound: Bound, line: int, side: SideTaken, by: By) -> list[BoolArray]:
    """Of a family: where the line goes with each of the others."""
    if side.family is None:
        return []
    return [met for family, met in by_family(scene, bound, line, by).items()
            if family != side.family]  # fmt: skip


def by_family(scene: Scene, bound: Bound, line: int, by: By) -> dict[str, BoolArray]:
    """For each family of the score, the bars in which the line goes with somebody of it."""
    table = scene.table
    families: dict[str, list[int]] = {}
    for other in table.lines:
        if other.family not in NO_SIDE and other.index != line:
            families.setdefault(other.family, []).append(other.index)
    return {
        family: goes_with(table, bound.movement, line, lines, by)[1]
        for family, lines in families.items()
    }


def segments(plays: BoolArray, met: BoolArray, share: float) -> list[tuple[int, int]]:
    """Maximal stretches of played bars of which at least `share` are met, from both ends too.

    Each begins and ends with a met bar, and every beginning of it, and every end, has that share
    (maximal scoring subsequences; a bar met counts ``1 - share``, one not met ``-share``).
    """
    at = np.flatnonzero(plays).tolist()
    stack: list[tuple[int, int, float, float]] = []  # first, last, sum before, sum with it
    total = 0.0
    for k, bar in enumerate(at):
        score = (1 - share) if met[bar] else -share
        before, total = total, total + score
        if score <= 0:
            continue
        first, low, high = k, before, total
        while True:
            j = len(stack) - 1
            while j >= 0 and stack[j][2] >= low:
                j -= 1
            if j < 0 or stack[j][3] >= high:
                break
            first, low = stack[j][0], stack[j][2]
            del stack[j:]
        stack.append((first, k, low, high))
    return [(at[i], at[j]) for i, j, _, _ in stack if j - i + 1 >= LEAST]


def _tutors(scene: Scene, bound: Bound, fact: Fact, side: SideTaken, by: By) -> bool:
    """Whether the tutor's own value names this side and way."""
    if fact.value.get("by", by) != by:
        return False
    try:
        part = PartField().read(fact.value.get("side"), "side")
        named = names.resolve(part, scene.table, bound.movement.index)
    except ClaimNotUnderstood:
        return False
    return bool(set(named.lines) & set(side.lines))
