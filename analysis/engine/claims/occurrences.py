"""Facts that happen at a place (crossings, extremes, arrivals): is one where it is claimed?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from analysis.engine.claims.base import Bars, Verdict
from analysis.engine.settings import Settings

#: (first bar, last bar)
Span = tuple[int, int]


def place_verdict(spans: Iterable[Span], bars: Bars, settings: Settings) -> Verdict:
    """Right if one lies within the claimed bars and these are no more than `occurrence_bars`.

    A longer claim is right too where the occurrences fill `near_share` of it;
    otherwise near, as is one that lies within one bar of the claimed ones.
    """
    inside = {b for first, last in spans for b in range(first, last + 1) if b in bars.indices}
    if inside:
        filled = len(inside) >= settings.near_share * len(bars)
        return "right" if len(bars) <= settings.occurrence_bars or filled else "near"
    beside = any(first <= bars.last + 1 and last >= bars.first - 1 for first, last in spans)
    return "near" if beside else "wrong"


def nearest(spans: Sequence[Span], bars: Bars) -> Span | None:
    """The occurrence that meets the claimed bars, or lies nearest to them."""

    def away(span: Span) -> int:
        return max(span[0] - bars.last, bars.first - span[1], 0)

    return min(spans, key=away, default=None)


def clipped(span: Span, bars: Bars) -> Span:
    """The part of an occurrence inside the claimed bars, or all of it if there is none."""
    first, last = max(span[0], bars.first), min(span[1], bars.last)
    return (first, last) if first <= last else span
