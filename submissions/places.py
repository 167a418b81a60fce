"""Stored places (indices) to the engine's PLACE (printed labels) and to words."""

from __future__ import annotations

from typing import Any

from courses.models import Place


def bar_label(outline: dict[str, Any], index: int) -> str:
    bars = outline.get("bars", [])
    return str(bars[index]["label"]) if 0 <= index < len(bars) else "?"


def span_label(outline: dict[str, Any], first: int | None, last: int | None) -> str:
    """ "12" or "9–12", as printed; "" while nothing is chosen."""
    if first is None:
        return ""
    a = bar_label(outline, first)
    b = bar_label(outline, first if last is None else last)
    return a if first == last or last is None else f"{a}–{b}"


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
