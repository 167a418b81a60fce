"""Moments that a claim names ("at bar 12, beat 3"), and how near a fact lies to one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from analysis.engine import places
from analysis.engine.analyses.attacks import memo
from analysis.engine.claims.base import Bound, Verdict
from analysis.engine.claims.speech import Phrase, phrase
from analysis.engine.model import ScoreTable
from analysis.engine.sentences import register

register(
    {
        "claim.moment.bar": "bar {bar}",
        "claim.moment.beat": "bar {bar}, beat {beat}",
    }
)


@dataclass(frozen=True, slots=True)
class Moment:
    """A bar (index), and the tick of the beat where one is named."""

    bar: int
    tick: int | None = None


def moment(table: ScoreTable, bound: Bound, point: Mapping[str, Any]) -> Moment:
    """The moment of a POINT; ClaimNotUnderstood where the score has no such bar or beat."""
    store: dict[tuple[Any, ...], Moment] = memo(table, "_moments", dict)
    key = (bound.movement.index, *(point.get(name) for name in ("bar", "nth", "beat", "pass")))
    if key not in store:  # a claim is held against many facts
        span = places.resolve_point(point, table, bound.movement.index)
        store[key] = Moment(span.first, span.start if point.get("beat") is not None else None)
    return store[key]


def verdict(table: ScoreTable, claimed: Moment, tick: int) -> Verdict:
    """Within a beat right, within a bar near (contract, "Occurrences").

    Where no beat is named the bar decides; an upbeat of a beat belongs to the bar it leads to.
    """
    bar = table.bars[claimed.bar]
    if claimed.tick is not None:
        away = abs(tick - claimed.tick)
        return "right" if away <= bar.beat_ticks else "near" if away <= bar.length else "wrong"
    if bar.start - bar.beat_ticks <= tick < bar.end:
        return "right"
    return "near" if abs(places.bar_at(table, tick) - claimed.bar) <= 1 else "wrong"


def words(table: ScoreTable, tick: int) -> Phrase:
    """ "bar 12, beat 3"; of a first beat the bar alone."""
    point = places.point_of(table, tick)
    label = places.label(table, places.bar_at(table, tick))
    if point["beat"] == 1:
        return phrase("claim.moment.bar", bar=label)
    return phrase("claim.moment.beat", bar=label, beat=beat_words(point["beat"]))


#: thirds and sixths of a beat as one writes them; halves and quarters are plain decimals
_PARTS = {Fraction(1, 3): "⅓", Fraction(2, 3): "⅔", Fraction(1, 6): "⅙", Fraction(5, 6): "⅚"}


def beat_words(beat: float) -> int | str:
    """A beat in a sentence: 3, "2.5", "1⅓"."""
    exact = Fraction(beat).limit_denominator(48)
    whole, rest = divmod(exact, 1)
    if not rest:
        return int(whole)
    return f"{whole}{_PARTS[rest]}" if rest in _PARTS else f"{beat:.4g}"
