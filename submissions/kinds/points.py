"""Moments and moves as people write them: "43, beat 3"; "fifth down, fourth up"."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

POINT_HELP = _("The bar, with its beat if you can say it: “43” or “43, beat 3”.")

_POINT = re.compile(
    r"^\s*(?:b(?:ar|\.)?\s*)?(?P<bar>[0-9]+[A-Za-z]?)\s*(?:/(?P<nth>\d+))?"
    r"(?:\s*(?:[.:,]|,?\s*b(?:eat|t)\.?)\s*(?P<beat>\d+(?:[.,]\d+)?))?\s*$",
    re.IGNORECASE,
)


class PointField(forms.CharField):
    """A bar with or without a beat; cleaned to a POINT, or None where nothing is typed."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=40, **kwargs)
        self.widget.attrs.update({"autocomplete": "off"})

    def clean(self, value: Any) -> dict[str, Any] | None:
        text = super().clean(value)
        if not text:
            return None
        found = _POINT.match(text)
        if not found:
            raise forms.ValidationError(_("Write a bar and a beat such as “43, beat 3”."))
        point: dict[str, Any] = {"bar": found["bar"]}
        if found["nth"]:
            point["nth"] = int(found["nth"])
        if found["beat"]:
            beat = float(found["beat"].replace(",", "."))
            if not 1 <= beat < 100:
                raise forms.ValidationError(_("Beats are counted from 1."))
            point["beat"] = int(beat) if beat.is_integer() else beat
        return point


def point_as_typed(point: Any) -> str:
    """ "43, beat 3"."""
    if not isinstance(point, dict):
        return str(point)
    bar = f"{point['bar']}/{point['nth']}" if (point.get("nth") or 1) > 1 else str(point["bar"])
    beat = point.get("beat")
    return bar if beat is None else f"{bar}, beat {beat:g}"


_SPAN = re.compile(
    r"^\s*(?:b(?:ar)?s?\.?\s*)?(?P<a>[0-9]+[A-Za-z]?)\s*(?:/(?P<an>\d+))?"
    r"(?:\s*(?:-|–|—|to)\s*(?P<b>[0-9]+[A-Za-z]?)\s*(?:/(?P<bn>\d+))?)?\s*$",
    re.IGNORECASE,
)


class SpanField(forms.CharField):
    """Bars within a statement ("5-8"); cleaned to a PLACE, or None where nothing is typed."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=40, **kwargs)
        self.widget.attrs.update({"autocomplete": "off"})

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        found = _SPAN.match(text)
        if not found:
            raise forms.ValidationError(_("Write bars such as 5-8 or 9."))
        if not found["an"] and not found["bn"]:
            return [found["a"], found["b"]] if found["b"] else [found["a"]]
        ends = [(found["a"], found["an"]), (found["b"] or found["a"], found["bn"] or found["an"])]
        start, end = ({"bar": bar, **({"nth": int(n)} if n else {})} for bar, n in ends)
        return {"from": start, "to": end}


def span_as_typed(place: Any) -> str:
    """ "5-8"."""
    if isinstance(place, dict):
        place = [point_as_typed({**place[end], "beat": None}) for end in ("from", "to")]
    return "-".join(dict.fromkeys(map(str, place)))


#: steps of an interval by its name; a second is one step
STEPS = {
    "second": 1, "step": 1, "third": 2, "fourth": 3, "fifth": 4, "sixth": 5, "seventh": 6,
    "octave": 7,
}  # fmt: skip
_ORDINALS = {"2nd": 1, "3rd": 2, "4th": 3, "5th": 4, "6th": 5, "7th": 6, "8th": 7, "8ve": 7}
_DOWN, _UP = {"down", "lower", "falling", "below"}, {"up", "higher", "rising", "above"}


class MovesField(forms.CharField):
    """ "fifth down, fourth up": signed steps, a second = 1."""

    def clean(self, value: Any) -> list[int]:
        text = super().clean(value) or ""
        moves: list[int] = []
        for piece in filter(None, (p.strip().casefold() for p in re.split(r"[,;]", text))):
            words = set(re.findall(r"[a-z0-9]+", piece)) - {"a", "an", "of"}
            sizes = [n for w, n in {**STEPS, **_ORDINALS}.items() if w in words]
            ways = [-1 for w in words & _DOWN] + [1 for w in words & _UP]
            if len(sizes) != 1 or len(ways) != 1:
                raise forms.ValidationError(
                    _("Write the moves such as “fifth down, fourth up”; “{piece}” is none.").format(
                        piece=piece
                    )
                )
            moves.append(ways[0] * sizes[0])
        return moves


def moves_as_typed(moves: list[int]) -> str:
    """ "fifth down, fourth up"."""
    names = {n: w for w, n in STEPS.items() if w != "step"}
    return ", ".join(
        f"{names.get(abs(m), 'octave')} {'down' if m < 0 else 'up'}" for m in moves if m
    )
