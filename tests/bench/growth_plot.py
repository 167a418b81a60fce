"""The growth figures as a picture: two log-log curves, each with its exponent."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

WIDE, HIGH, EDGE, GAP = 300, 240, 56, 70
ROUND = [m * 10.0**e for e in range(-3, 6) for m in (1, 2, 5)]


def svg(curves: dict[str, list[dict[str, Any]]], powers: dict[str, float]) -> str:
    """Seconds over bars and over parts, both axes logarithmic."""
    panels = "".join(
        _panel(
            EDGE + n * (WIDE + GAP),
            f"{name}: exponent {powers[name]:.2f}",
            name,
            [(row[name], row["read"] + row["analyse"]) for row in rows],
        )
        for n, (name, rows) in enumerate(curves.items())
    )
    full = 2 * EDGE + len(curves) * WIDE + (len(curves) - 1) * GAP
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {full} {HIGH + 100}" '
        'font-family="sans-serif" font-size="12" role="img" '
        'aria-label="Time of table and analyses over bars and over parts">'
        f'<rect width="{full}" height="{HIGH + 100}" fill="white"/>{panels}</svg>\n'
    )


def _panel(left: float, title: str, name: str, points: Sequence[tuple[float, float]]) -> str:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    x_axis, y_axis = _axis(xs), _axis(ys)
    top = 50

    def at(x: float, y: float) -> tuple[float, float]:
        return left + x_axis(x) * WIDE, top + (1 - y_axis(y)) * HIGH

    out = [
        (
            f'<text x="{left}" y="30" font-size="14">{title}</text>'
            f'<rect x="{left}" y="{top}" width="{WIDE}" height="{HIGH}" fill="none" stroke="#888"/>'
            f'<text x="{left + WIDE / 2}" y="{top + HIGH + 36}" text-anchor="middle">{name}</text>'
        )
    ]
    for x in sorted(set(xs)):
        place = at(x, ys[0])[0]
        out.append(f'<text x="{place:.1f}" y="{top + HIGH + 18}" text-anchor="middle">{x:g}</text>')
    for y in ROUND:
        if min(ys) / 1.2 <= y <= max(ys) * 1.2:
            height = at(xs[0], y)[1]
            out.append(
                f'<line x1="{left}" x2="{left + WIDE}" y1="{height:.1f}" y2="{height:.1f}" '
                'stroke="#ddd"/>'
                f'<text x="{left - 6}" y="{height + 4:.1f}" text-anchor="end">{y:g} s</text>'
            )
    spots = [at(x, y) for x, y in points]
    line = " ".join(f"{a:.1f},{b:.1f}" for a, b in spots)
    out.append(f'<polyline points="{line}" fill="none" stroke="#345" stroke-width="1.5"/>')
    out += [
        f'<circle cx="{a:.1f}" cy="{b:.1f}" r="4" fill="#345"><title>{x:g}: {y:.2f} s</title>'
        "</circle>"
        for (a, b), (x, y) in zip(spots, points, strict=True)
    ]
    return "".join(out)


def _axis(values: Sequence[float]) -> Any:
    low, high = math.log(min(values) / 1.25), math.log(max(values) * 1.25)
    return lambda value: (math.log(value) - low) / (high - low)
