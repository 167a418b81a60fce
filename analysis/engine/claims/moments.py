"""Moments that a claim names ("at bar 12, beat 3"), and how near a fact lies to one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
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
    beat = point["beat"]
    return phrase(
        "claim.moment.beat", bar=label, beat=beat if isinstance(beat, int) else f"{beat:g}"
    )
