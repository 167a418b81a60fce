"""Bars of a recording: those tapped, and those worked out between taps."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from analysis.engine.errors import EngineError


@dataclass(frozen=True, slots=True)
class RecordedBar:
    """A played bar in the recording's own time."""

    place: int  # among the bars as played, from 0
    start: float  # s
    end: float
    tapped: bool  # False: worked out


def recorded_bars(
    lengths: Sequence[float],
    taps: Mapping[int, float],
    duration: float,
    upbeats: Collection[int] = (),
) -> list[RecordedBar]:
    """When each bar begins and ends in a recording.

    Between two taps time runs as in the score's own tempo, stretched to fit. An
    upbeat before the first tap is worked out backwards from the tempo after it.
    The last tapped bar lasts as the tempo before it says; the last bar of the
    music lasts to the end of the recording. Other bars before the first tap or
    after the last one have no time.

    Parameters
    ----------
    lengths : sequence of float
        Length of each bar as played, by the score's own tempo, in s.
    taps : mapping of int to float
        Place of a bar in `lengths` -> s of the recording at which it begins.
    duration : float
        Of the recording, in s.
    upbeats : collection of int, optional
        Places of short bars that open a movement.

    Returns
    -------
    list of RecordedBar
        By place, each ending where the next begins. Empty without taps.

    Raises
    ------
    EngineError
        If a bar does not exist, or begins no later than one before it.

    Examples
    --------
    >>> [(b.start, b.end, b.tapped) for b in recorded_bars([2, 2, 2], {0: 1, 2: 7}, 12)]
    [(1.0, 4.0, True), (4.0, 7.0, False), (7.0, 12.0, True)]
    """
    if not taps:
        return []
    given = sorted(taps.items())
    if not 0 <= given[0][0] <= given[-1][0] < len(lengths):
        raise EngineError("a tap names a bar that is not played")
    since = [0.0, *accumulate(lengths)]
    starts: dict[int, float] = {}
    rates: list[float] = []
    for (a, at), (b, to) in pairwise(given):
        if to <= at:
            raise EngineError(f"bar {b} of those played begins no later than bar {a}")
        rates.append((to - at) / whole if (whole := since[b] - since[a]) > 0 else 1.0)
        for place in range(a, b):
            share = (since[place] - since[a]) / whole if whole > 0 else (place - a) / (b - a)
            starts[place] = at + share * (to - at)
    first, last = given[0], given[-1]
    starts[last[0]] = float(last[1])
    before = first[0] - 1
    if before in upbeats and first[1] > 0:
        starts[before] = max(0.0, first[1] - lengths[before] * (rates[0] if rates else 1.0))
    if last[0] == len(lengths) - 1:
        end = max(duration, last[1])
    else:
        end = last[1] + lengths[last[0]] * (rates[-1] if rates else 1.0)
        end = max(min(end, duration), last[1])
    ends = [*sorted(starts.values())[1:], end]
    return [
        RecordedBar(place, round(float(starts[place]), 3), round(float(to), 3), place in taps)
        for place, to in zip(sorted(starts), ends, strict=True)
    ]
