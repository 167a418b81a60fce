"""Facts bar by bar: which claimed bars are true, and the tutor's word on them.

The kinds that hold throughout (playing, doubling, reinforcement, role, key
regions) share this: a fact holds in a set of bars; a claimed bar is true if a
fact of the claimed sort holds in it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from analysis.engine.claims.base import Bars, Scene, Verdict
from analysis.engine.model import Evidence, Sentence
from analysis.engine.settings import Settings


@dataclass(frozen=True)
class Fact:
    """Something that holds in `bars`. `detail` is whatever the kind needs to speak of it."""

    bars: frozenset[int]
    value: Mapping[str, Any] = field(default_factory=dict)
    lines: tuple[int, ...] = ()
    confidence: float = 1.0
    evidence: tuple[Evidence, ...] = ()
    tutor: Sentence | None = None
    detail: Any = None


@dataclass(frozen=True)
class Try:
    """One way to take a claim: the bars where it is true so, and what is only near in it."""

    true: frozenset[int]
    relation: Verdict = "right"
    degree: Verdict = "right"
    facts: tuple[Fact, ...] = ()
    confidence: float = 1.0

    def place(self, bars: Bars, settings: Settings) -> Verdict:
        return place_verdict(self.true, bars, settings)


def place_verdict(true: Iterable[int], bars: Bars, settings: Settings) -> Verdict:
    """All claimed bars true: right; a share of `near_share`: near; less: wrong."""
    inside = sum(1 for bar in set(true) if bars.first <= bar <= bars.last)
    if inside == len(bars):
        return "right"
    return "near" if inside >= settings.near_share * len(bars) else "wrong"


def best_try(tries: Sequence[Try], bars: Bars, settings: Settings) -> Try:
    """The most charitable of several, the earlier one where they are equally good."""

    def cost(item: tuple[int, Try]) -> tuple[int, int, int]:
        index, attempt = item
        verdicts = (attempt.place(bars, settings), attempt.relation, attempt.degree)
        return verdicts.count("wrong"), verdicts.count("near"), index

    return min(enumerate(tries), key=cost)[1]


def truthful(
    facts: Iterable[Fact], wanted: Callable[[Mapping[str, Any]], bool]
) -> tuple[frozenset[int], tuple[Fact, ...]]:
    """Bars in which some fact of the wanted sort holds, and those facts."""
    kept = tuple(f for f in facts if wanted(f.value))
    return frozenset(bar for f in kept for bar in f.bars), kept


def with_tutor(
    facts: Sequence[Fact],
    scene: Scene,
    kind: str,
    lines: Iterable[int],
    *,
    of: Callable[[Mapping[str, Any]], Mapping[str, Any]] = dict,
) -> list[Fact]:
    """Facts about `lines` with the tutor's word in them.

    Each word of that kind that covers the lines takes the bars it covers out
    of the computed facts it speaks of, and puts its own value there.

    Parameters
    ----------
    of : function
        Brings the tutor's value into the kind's own terms (e.g. turns the
        octaves round where the tutor named the parts the other way).
    """
    kept = list(facts)
    own = set(lines)
    for word in scene.tutor_on(kind):
        if not own <= set(word.lines):
            continue
        covered = frozenset(range(word.first, word.last + 1))
        if word.says != "added":
            denied = of(word.overruled) if word.overruled else None
            kept = [
                replace(f, bars=f.bars - covered) if _matches(f.value, denied) else f for f in kept
            ]
        if word.says != "absent" and word.value is not None:
            kept.append(Fact(covered, dict(of(word.value)), tuple(own), tutor=word.sentence))
    return [f for f in kept if f.bars]


def _matches(value: Mapping[str, Any], denied: Mapping[str, Any] | None) -> bool:
    if denied is None:
        return True
    telling = [k for k in ("octaves", "mode", "role") if k in denied and k in value]
    return all(value[k] == denied[k] for k in telling)


def stretch(bars: Iterable[int], around: Bars) -> tuple[int, int] | None:
    """The stretch of consecutive true bars that meets the claimed ones most."""
    best: tuple[int, int] | None = None
    for first, last in stretches(bars):
        shared = min(last, around.last) - max(first, around.first)
        if best is None or shared > min(best[1], around.last) - max(best[0], around.first):
            best = (first, last)
    return best


def stretches(bars: Iterable[int]) -> list[tuple[int, int]]:
    """Maximal runs of consecutive bars."""
    found: list[tuple[int, int]] = []
    for bar in sorted(set(bars)):
        if found and bar == found[-1][1] + 1:
            found[-1] = (found[-1][0], bar)
        else:
            found.append((bar, bar))
    return found


def combine_units(verdicts: Sequence[tuple[Verdict, Verdict, Verdict]]) -> tuple[Verdict, ...]:
    """Place, parts, relation, degree of a claim from (place, relation, degree) of each unit.

    One wrong unit of three or more is near; more, or one of two, make the
    parts wrong; where all are wrong it is not the parts that are.
    """
    bad = [v for v in verdicts if "wrong" in v]
    good = [v for v in verdicts if "wrong" not in v]
    if not bad or not good:
        return (*_worst(verdicts, 0), "right", *_worst(verdicts, 1), *_worst(verdicts, 2))
    parts: Verdict = "near" if len(bad) == 1 and len(verdicts) >= 3 else "wrong"
    return (*_worst(good, 0), parts, *_worst(good, 1), *_worst(good, 2))


_BADNESS: dict[Verdict, int] = {"right": 0, "near": 1, "open": 2, "wrong": 3}


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    return max(verdicts, key=lambda v: _BADNESS[v], default="right")


def _worst(verdicts: Sequence[tuple[Verdict, ...]], column: int) -> tuple[Verdict]:
    return (worst(v[column] for v in verdicts),)
