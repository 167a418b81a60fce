"""Bars as people type them, to indices of the score and back."""

from __future__ import annotations

import re
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.said_place import movement_said, roman

_SPAN = re.compile(
    r"^\s*(?:b(?:ar)?s?\.?\s*)?(?P<a>[0-9A-Za-z]+)\s*(?:/(?P<an>\d+))?"
    r"(?:\s*(?:-|–|—|to)\s*(?P<b>[0-9A-Za-z]+)\s*(?:/(?P<bn>\d+))?)?\s*$"
)


def parse_bars(text: str, outline: dict[str, Any], movement: int = 0) -> tuple[int, int]:
    """ "24-31", "b. 9", "24b", "12/2" (the second bar 12), "II: 9" to (first, last) indices.

    Raises ValidationError with a sentence that says which bars there are.
    """
    try:
        named, rest = movement_said(text or "", max(1, len(outline["movements"])))
    except ClaimNotUnderstood as question:
        raise ValidationError(str(question)) from question
    movement = movement if named is None else named
    found = _SPAN.match(rest)
    if not found:
        raise ValidationError(_("Write bars such as 24-31 or 9."))
    first = _find(found["a"], found["an"], outline, movement)
    last = _find(found["b"], found["bn"], outline, movement) if found["b"] else first
    if last < first:
        raise ValidationError(_("Bar {b} comes before bar {a}.").format(a=found["a"], b=found["b"]))
    return first, last


def is_span(text: str, outline: dict[str, Any]) -> bool:
    """Whether bars are typed as two labels of bars there are, in whichever order."""
    try:
        named, rest = movement_said(text, max(1, len(outline["movements"])))
    except ClaimNotUnderstood:
        return True
    found = _SPAN.match(rest)
    if not found:
        return False
    try:
        for end in (found["a"], found["b"]):
            _find(end or found["a"], None, outline, named or 0)
    except ValidationError:
        return found["a"].isdigit() and (found["b"] or "0").isdigit()
    return True


def _find(label: str, nth: str | None, outline: dict[str, Any], movement: int) -> int:
    span = _movement(outline, movement)
    bars = [b for b in outline["bars"] if span[0] <= b["i"] <= span[1]]
    hits = [b for b in bars if str(b["label"]).casefold() == label.casefold()]
    if nth:
        hits = [b for b in hits if b["nth"] == int(nth)]
    if not hits:
        raise ValidationError(
            _("There is no bar {label}; this movement has bars {a} to {b}.").format(
                label=label, a=bars[0]["label"], b=bars[-1]["label"]
            )
        )
    return int(hits[0]["i"])


def _movement(outline: dict[str, Any], movement: int) -> tuple[int, int]:
    for row in outline["movements"]:
        if row["index"] == movement:
            return row["first"], row["last"]
    return 0, len(outline["bars"]) - 1


def movement_of(bar: int, outline: dict[str, Any]) -> int:
    """The movement a bar index lies in."""
    for row in outline["movements"]:
        if row["first"] <= bar <= row["last"]:
            return int(row["index"])
    return 0


def typed(first: int | None, last: int | None, outline: dict[str, Any]) -> str:
    """Indices as one would type them; with the movement where it is not the first."""
    if first is None:
        return ""

    def one(i: int) -> str:
        bar = outline["bars"][i]
        return f"{bar['label']}/{bar['nth']}" if bar["nth"] > 1 else str(bar["label"])

    bars = one(first) if last in (None, first) else f"{one(first)}-{one(last or first)}"
    return f"{movement_prefix(first, outline)}{bars}"


def movement_prefix(bar: int, outline: dict[str, Any]) -> str:
    """ "II: " of a bar in the second of several movements; "" in the first, or the only one."""
    movement = movement_of(bar, outline)
    return f"{roman(movement)}: " if movement and len(outline["movements"]) > 1 else ""
