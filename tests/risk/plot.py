"""Risk-coverage curves as SVG: precision of "agrees" and of "conflicts" over the share decided."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from analysis.engine.settings import Settings
from tests.risk.curve import Flagged, Point, curve
from tests.risk.told import AGREES, CONFLICTS, DECIDED, operating

SIDE, EDGE, GAP, TOP = 240, 52, 60, 52
LOWEST = 0.5  # precision at the foot of the panels
COLOURS = {"agrees": "#1b5e8c", "conflicts": "#a34a00"}


def svg(found: Mapping[str, Sequence[Flagged]]) -> str:
    """One panel for each kind and corpus; the product's own point is a ring."""
    names = sorted(found)
    wide = 2 * EDGE + len(names) * SIDE + (len(names) - 1) * GAP
    high = TOP + SIDE + 84
    panels = "".join(
        _panel(EDGE + n * (SIDE + GAP), name, found[name]) for n, name in enumerate(names)
    )
    legend = "".join(
        f'<path d="M{EDGE + 170 * n} {high - 16} h24" stroke="{colour}" stroke-width="2"'
        f'{_dash(flag)} fill="none"/>'
        f'<text x="{EDGE + 170 * n + 30}" y="{high - 12}">{flag}</text>'
        for n, (flag, colour) in enumerate(COLOURS.items())
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" '
        'font-family="sans-serif" font-size="12" role="img" aria-label="Precision of the flags '
        'agrees and conflicts over the share of statements decided">'
        f'<rect width="{wide}" height="{high}" fill="white"/>{panels}{legend}</svg>\n'
    )


def _dash(flag: str) -> str:
    return ' stroke-dasharray="6 3"' if flag == "conflicts" else ""


def _panel(left: float, name: str, found: Sequence[Flagged]) -> str:
    points = curve(found, Settings().conflict_confidence)
    here = operating(found)
    out = [
        f'<text x="{left}" y="30" font-size="14">{name}</text>',
        f'<rect x="{left}" y="{TOP}" width="{SIDE}" height="{SIDE}" fill="none" stroke="#888"/>',
        f'<text x="{left}" y="{TOP + SIDE + 36}">share decided</text>',
    ]
    for tick in (0, 0.25, 0.5, 0.75, 1):
        x = left + tick * SIDE
        out.append(f'<text x="{x}" y="{TOP + SIDE + 18}" text-anchor="middle">{tick:g}</text>')
    for tick in (0.5, 0.6, 0.7, 0.8, 0.9, 1.0):
        y = _height(tick)
        out.append(
            f'<line x1="{left}" x2="{left + SIDE}" y1="{y:.1f}" y2="{y:.1f}" stroke="#ddd"/>'
            f'<text x="{left - 6}" y="{y + 4:.1f}" text-anchor="end">{tick:g}</text>'
        )
    foot = left + DECIDED[found[0].kind] * SIDE
    out.append(f'<line x1="{foot}" x2="{foot}" y1="{TOP}" y2="{TOP + SIDE}" stroke="#bbb"/>')
    wanted = {"agrees": AGREES[found[0].kind], "conflicts": CONFLICTS}
    for flag, colour in COLOURS.items():
        y = _height(wanted[flag])
        out.append(
            f'<line x1="{foot}" x2="{left + SIDE}" y1="{y:.1f}" y2="{y:.1f}" stroke="{colour}" '
            f'stroke-width="0.8"{_dash(flag)}/>'
        )
        spots = [(p, precision) for p in points if (precision := _of(p, flag)) is not None]
        line = " ".join(f"{left + p.decided * SIDE:.1f},{_height(v):.1f}" for p, v in spots)
        out.append(f'<polyline points="{line}" fill="none" stroke="{colour}" stroke-width="1.5"'
                   f"{_dash(flag)}/>")  # fmt: skip
        out += [
            f'<circle cx="{left + p.decided * SIDE:.1f}" cy="{_height(v):.1f}" r="3" '
            f'fill="{colour}"><title>threshold {p.least:g}: {v:.3f} at {p.decided:.3f}</title>'
            "</circle>"
            for p, v in spots
        ]
        if (own := _of(here, flag)) is not None:
            out.append(
                f'<circle cx="{left + here.decided * SIDE:.1f}" cy="{_height(own):.1f}" r="7" '
                f'fill="none" stroke="{colour}" stroke-width="2"><title>the product</title>'
                "</circle>"
            )
    return "".join(out)


def _of(found: Point, flag: str) -> float | None:
    return found.agrees if flag == "agrees" else found.conflicts


def _height(precision: float) -> float:
    share = (max(precision, LOWEST) - LOWEST) / (1 - LOWEST)
    return TOP + (1 - share) * SIDE
