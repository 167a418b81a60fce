"""Stored places (indices) to the engine's PLACE (printed labels) and to words."""

from __future__ import annotations

from typing import Any

from courses.bars import movement_prefix
from courses.models import Place


def bar_label(outline: dict[str, Any], index: int) -> str:
    bars = outline.get("bars", [])
    return str(bars[index]["label"]) if 0 <= index < len(bars) else "?"


def span_label(outline: dict[str, Any], first: int | None, last: int | None) -> str:
    """ "12" or "9–12", as printed, "II: 12" in a later movement; "" while nothing is chosen."""
    if first is None:
        return ""
    prefix = movement_prefix(first, outline) if outline.get("movements") else ""
    bars = bar_label(outline, first)
    if last not in (None, first):
        bars += f"–{bar_label(outline, last or first)}"
    return prefix + bars


def place_label(place: Place, outline: dict[str, Any]) -> str:
    """Bars as `span_label` has them, with beats and pass where a place names them."""
    label = span_label(outline, place.first_bar, place.last_bar)
    claim = getattr(place, "claim", None) or {}
    if place.from_tick is not None or place.pass_number:
        return str(claim.get("typed", {}).get("bars") or label)
    return label


def point(outline: dict[str, Any], index: int) -> dict[str, Any]:
    bar = outline["bars"][index]
    return {"bar": str(bar["label"]), "nth": bar["nth"]}


def as_place(place: Place, outline: dict[str, Any]) -> dict[str, Any]:
    """PLACE in JSON for the engine: never ambiguous, since `nth` is given."""
    start: dict[str, Any] = point(outline, place.first_bar)
    end: dict[str, Any] = point(outline, place.last_bar)
    if place.pass_number:
        start["pass"] = end["pass"] = place.pass_number
    return {"from": start, "to": end}
