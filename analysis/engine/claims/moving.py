"""The places inside a claim (an entry's bar, a step's bars), moved with the claim's own bars."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from analysis.engine import places
from analysis.engine.claims.schema import Claim
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import ScoreTable

#: fields that hold a POINT or a PLACE, at whatever depth; another place to compare with stays
PLACES = frozenset({"at", "breaks-at", "bars"})


def moved_claim(claim: Claim, table: ScoreTable, movement: int, by: int) -> Claim | None:
    """The claim with every place in its fields `by` bars later; None where one leaves the movement.

    Parameters
    ----------
    claim : Claim
    table : ScoreTable
    movement : int
        0-based.
    by : int
        Bars, may be negative.
    """
    if not any(_holds_a_place(name, value) for name, value in claim.fields.items()):
        return claim
    try:
        fields = {n: _moved(n, v, table, movement, by) for n, v in claim.fields.items()}
    except ClaimNotUnderstood:
        return None
    return replace(claim, fields=fields)


def _holds_a_place(name: str, value: Any) -> bool:
    if value is None:
        return False
    if name in PLACES:
        return True
    groups = value if isinstance(value, tuple) else ()
    return any(isinstance(g, Mapping) and set(g) & PLACES for g in groups)


def _moved(name: str, value: Any, table: ScoreTable, movement: int, by: int) -> Any:
    if isinstance(value, tuple):
        return tuple(_moved("", v, table, movement, by) for v in value)
    if name not in PLACES:
        if isinstance(value, Mapping):
            return {n: _moved(n, v, table, movement, by) for n, v in value.items()}
        return value
    if value is None:
        return None
    if isinstance(value, Mapping) and "bar" in value:
        return _point(value, table, movement, by)
    if isinstance(value, Mapping):
        ends = {end: _point(value[end], table, movement, by) for end in ("from", "to")}
        return {**value, **ends}
    span = places.resolve(value, table, movement)
    first, last = (_bar(bar + by, table, movement) for bar in (span.first, span.last))
    return places.place_of(table, first, last)


def _point(point: Mapping[str, Any], table: ScoreTable, movement: int, by: int) -> dict[str, Any]:
    bar = table.bars[_bar(places.resolve_point(point, table, movement).first + by, table, movement)]
    return {**point, "bar": bar.label, "nth": bar.nth}


def _bar(index: int, table: ScoreTable, movement: int) -> int:
    found = table.movements[movement]
    if not found.first_bar <= index <= found.last_bar:
        raise ClaimNotUnderstood("There is no such bar.")
    return index
