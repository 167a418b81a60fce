"""Verdicts and flags as the contract has them ("Verdicts, readings, flag"), told between bounds.

Where the contract leaves room (what exactly a run takes in, say) a fact is known only as surely
so and possibly so. A judgement is therefore a pair: the worst and the best one may think of it.
Only claims to which both give one flag are asked.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple

NEAR_SHARE = 0.5
OCCURRENCE_BARS = 8


class Verdicts(NamedTuple):
    place: str = "right"
    parts: str = "right"
    relation: str = "right"
    degree: str = "right"

    @property
    def all_right(self) -> bool:
        return set(self) == {"right"}

    @property
    def any_wrong(self) -> bool:
        return "wrong" in self


RIGHT = Verdicts()
WRONG = Verdicts(relation="wrong")


class Between(NamedTuple):
    """The worst and the best that may be thought of a claim."""

    low: Verdicts
    high: Verdicts


@dataclass(frozen=True)
class Asked:
    """A claim in indices: bars inclusive, parts as numbers in the file's order."""

    kind: str
    first: int
    last: int
    parts: tuple[int, ...] = ()
    fields: Mapping[str, Any] = field(default_factory=dict)
    negated: bool = False

    @property
    def bars(self) -> range:
        return range(self.first, self.last + 1)

    def moved(self, by: int) -> Asked:
        return replace(self, first=self.first + by, last=self.last + by)

    def but(self, **fields: Any) -> Asked:
        return replace(self, fields={**self.fields, **fields})


def flag_of(verdicts: Verdicts) -> str:
    """Steps 1 and 3 for an exact kind (confidence 1, contrary evidence always there)."""
    if verdicts.all_right:
        return "agrees"
    if "open" in verdicts:
        return "ear"
    if verdicts.any_wrong:
        return "conflicts"
    return "partly" if list(verdicts).count("near") <= 2 else "ear"


def place_of(true: Iterable[int], bars: range) -> str:
    """Kinds that hold throughout: all bars true, half of them, fewer."""
    inside = len(set(true) & set(bars))
    if inside == len(bars):
        return "right"
    return "near" if inside >= NEAR_SHARE * len(bars) else "wrong"


def place_of_occurrence(touched: Iterable[int], bars: range) -> str:
    """Occurrences: one lies within, and the bars are no more than eight (else they fill half)."""
    inside = len(set(touched) & set(bars))
    if not inside:
        return "wrong"
    filled = inside >= NEAR_SHARE * len(bars)
    return "right" if len(bars) <= OCCURRENCE_BARS or filled else "near"


def together(units: Sequence[Verdicts]) -> Verdicts:
    """Each of the parts must hold; one wrong of three or more is near, one of two is wrong."""
    good = [u for u in units if not u.any_wrong]
    if not good:
        return max(units, key=lambda u: list(u).count("wrong"))
    order = ("right", "near", "open", "wrong")
    worst = [max((u[i] for u in good), key=order.index) for i in range(4)]
    bad = len(units) - len(good)
    if bad:
        worst[1] = "near" if bad == 1 and len(units) >= 3 else "wrong"
    return Verdicts(*worst)


def denied(sure: Iterable[int], possible: Iterable[int], bars: range) -> Between:
    """Negated: right if the fact holds in no claimed bar, wrong in one clear run."""
    low = WRONG if set(possible) & set(bars) else RIGHT
    high = WRONG if set(sure) & set(bars) else RIGHT
    return Between(low, high)
