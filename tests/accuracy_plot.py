"""A calibration plot as SVG: how often what is said with a probability was right."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from analysis.engine.pitch import parse_key

BINS = 10
_SIZE, _EDGE = 300, 40

Pair = tuple[float, bool, float]  # probability, whether right, weight


def role_pairs(
    reference: Sequence[Sequence[Any]], predicted: Iterable[dict[str, Any]]
) -> list[Pair]:
    """Probability and truth of each class in each labelled cell that has probabilities."""
    chance = {(r["bar"], r["part"]): r["p"] for r in predicted if "p" in r}
    return [
        (float(p), role in roles, 1.0)
        for bar, part, roles in reference
        for role, p in chance.get((bar, part), {}).items()
    ]


def key_pairs(
    reference: Sequence[Sequence[Any]], predicted: Iterable[dict[str, Any]]
) -> list[Pair]:
    """Probability and truth of the key said, weighed by quarters, where a key is annotated."""
    out = []
    for said in predicted:
        for start, end, key in reference:
            shared = min(end, said["end"]) - max(start, said["start"])
            if shared > 0:
                out.append((float(said["p"]), _key(said["key"]) == _key(key), shared))
    return out


def _key(words: str) -> tuple[int, str]:
    key = parse_key(words)
    return key.tonic, key.mode


def bins(pairs: Iterable[Pair]) -> list[tuple[float, float, float]]:
    """(mean probability, share that was right, weight) of each tenth that holds any."""
    sums = [[0.0, 0.0, 0.0] for _ in range(BINS)]
    for p, true, weight in pairs:
        mine = sums[min(int(p * BINS), BINS - 1)]
        mine[0] += weight * p
        mine[1] += weight * true
        mine[2] += weight
    return [(p / n, t / n, n) for p, t, n in sums if n]


def svg(title: str, points: Sequence[tuple[float, float, float]]) -> str:
    """The plot; on the diagonal a probability means what it says. Dots grow with their number."""
    most = max((n for _, _, n in points), default=1)
    full = _SIZE + 2 * _EDGE
    dots = "".join(
        f'<circle cx="{_EDGE + p * _SIZE:.1f}" cy="{_EDGE + (1 - t) * _SIZE:.1f}" '
        f'r="{3 + 7 * (n / most) ** 0.5:.1f}" fill="#345">'
        f"<title>{n:.0f} at {p:.2f}: {t:.2f}</title></circle>"
        for p, t, n in points
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {full} {full}" '
        'font-family="sans-serif" font-size="13">'
        f'<rect width="{full}" height="{full}" fill="white"/>'
        f'<rect x="{_EDGE}" y="{_EDGE}" width="{_SIZE}" height="{_SIZE}" '
        'fill="none" stroke="#888"/>'
        f'<line x1="{_EDGE}" y1="{_EDGE + _SIZE}" x2="{_EDGE + _SIZE}" y2="{_EDGE}" stroke="#888"/>'
        f'<text x="{_EDGE}" y="24">{title}</text>'
        f'<text x="{_EDGE}" y="{full - 12}">probability said, share that was right upwards</text>'
        f"{dots}</svg>\n"
    )
