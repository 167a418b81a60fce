"""Maximal runs in a row of met and unmet attacks of one or two lines.

`Events.runs` is the door. Most attacks of two lines do not meet: only events near met ones are
looked at, so that the work follows what is met and not how long the score is.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses.attacks import Attacks, BoolArray, IntArray

#: weight of a barrier: no number of met events outweighs it
BARRIER = 10**9
#: a bar with no more than this share of its attacks met is no part of a full doubling; common
#: practice: half of a bar apart is apart
PARTED = 0.5


def maximal_segments(scores: NDArray[np.int64], breaks: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """All maximal scoring segments, none across a break.

    With scores ``1 - t`` for a met and ``-t`` for an unmet event these are the longest stretches
    whose share of met events is at least `t`, and whose every beginning and every ending is
    itself at least so good: a run starts and ends on a met event and takes in a flaw only if
    what follows makes up for it.

    Parameters
    ----------
    scores : int64, shape (n,)
    breaks : bool, shape (n,)
        True where a run may not continue from event ``i - 1`` to event ``i``.

    Returns
    -------
    list of (first, last)
        Indices of events, inclusive, rising.

    References
    ----------
    W. L. Ruzzo, M. Tompa, "A linear time algorithm for finding all maximal scoring
    subsequences", ISMB 1999, pp. 234-241. Ties join here, so that runs are maximal.
    """
    positive = scores > 0
    if not positive.any():
        return []
    after = scores.cumsum() - BARRIER * breaks.cumsum()
    before = after - scores
    follows = np.zeros(len(scores), dtype=bool)  # the event before is met too
    np.logical_and(positive[:-1], ~breaks[1:], out=follows[1:])
    precedes = np.zeros(len(scores), dtype=bool)
    np.logical_and(follows[1:], positive[1:], out=precedes[:-1])
    starts = (positive & ~follows).nonzero()[0]
    ends = (positive & ~precedes).nonzero()[0]
    found: list[tuple[int, int, int, int]] = []  # first, last, left sum, right sum
    links: list[int] = []  # of each found the last before it whose left sum is no greater
    blocks = zip(
        starts.tolist(), ends.tolist(), before[starts].tolist(), after[ends].tolist(), strict=True
    )
    for first, last, left, right in blocks:
        block = (first, last, left, right)
        while True:
            j = len(found) - 1
            while j >= 0 and found[j][2] > block[2]:
                j = links[j]  # those between have a greater left sum still: all in linear time
            if j < 0 or found[j][3] > block[3]:
                break
            block = (found[j][0], block[1], found[j][2], block[3])
            del found[j:], links[j:]
        found.append(block)
        links.append(j)
    return [(first, last) for first, last, _, _ in found]


class Events:
    """The attacks of one line, or of either of two, on the grid, in order.

    Attributes
    ----------
    at : int64, shape (n,)
        Indices of the grid.
    bars : int64, shape (n,)
        Bar index of each.
    sides : bool arrays, shape (n,)
        Which events are attacks of each line.
    weight : int64, shape (n,)
        How many of the lines attack.
    """

    def __init__(self, grid: Attacks, lines: tuple[int, ...]) -> None:
        attacked = [grid.attacked[line] for line in lines]
        self._grid, self._lines = grid, lines
        self._any = attacked[0] if len(lines) == 1 else np.logical_or(*attacked)
        self.at = self._any.nonzero()[0]
        self.bars = grid.bar[self.at]
        self.sides = tuple(line[self.at] for line in attacked)
        self.weight: IntArray = np.sum(self.sides, axis=0, dtype=np.int64)

    @cached_property
    def _number(self) -> IntArray:
        """Of each onset of the grid, which event it is, if it is one."""
        number: IntArray = np.cumsum(self._any, dtype=np.int64) - 1
        return number

    @cached_property
    def _of_bar(self) -> NDArray[Any]:
        return np.bincount(self.bars, self.weight)

    @cached_property
    def _breaks(self) -> BoolArray:
        return find_breaks(self._grid, self.at, self._lines)

    def numbers(self, mask: BoolArray) -> IntArray:
        """Which events stand where `mask` (over the grid, events only) is true."""
        found: IntArray = self._number[mask.nonzero()[0]]
        return found

    def runs(
        self,
        mask: BoolArray,
        share: float,
        least: int,
        *,
        covered: BoolArray | None = None,
        by_bar: bool = False,
    ) -> list[tuple[int, int]]:
        """Segments in which met attacks make up `share` of each line's, as `running_segments`.

        A run ends where `least` attacks in a row are unmet or the lines part for half of a bar's
        attacks or more; `by_bar`: where nothing is met in a whole bar.

        Parameters
        ----------
        mask : bool over the grid
            Where they meet.
        share : float
        least : int
            Fewest met attacks.
        covered : bool over the grid, optional
            Unmet events that close a run, being told elsewhere.

        Returns
        -------
        list of (first, last)
            Indices of the grid, inclusive.
        """
        numbers = self.numbers(mask)
        if len(numbers) < least:
            return []
        kept, cut = self._bars_met(numbers) if by_bar else close_by(numbers, least)
        if not len(kept):
            return []
        at = self.at[kept]
        met = mask[at]
        barrier = np.zeros(len(kept), dtype=bool) if by_bar else self._parted(numbers, kept)
        if covered is not None:
            barrier |= covered[at]
        breaks = self._breaks[kept] | cut
        sides = tuple(side[kept] for side in self.sides)
        found = running_segments(met, sides, self.weight[kept], barrier, breaks, share, least)
        return [(int(at[i]), int(at[j])) for i, j in found]

    def _parted(self, numbers: IntArray, kept: IntArray) -> BoolArray:
        """Which kept events lie in bars in which the lines part."""
        of_bar = self._of_bar
        met = np.bincount(self.bars[numbers], self.weight[numbers], len(of_bar))
        apart: BoolArray = (met <= PARTED * of_bar)[self.bars[kept]]
        return apart

    def _bars_met(self, numbers: IntArray) -> tuple[IntArray, BoolArray]:
        """Events of bars in which something is met, and before which of them others are."""
        some = np.zeros(int(self.bars[-1]) + 1, dtype=bool)
        some[self.bars[numbers]] = True
        kept = some[self.bars].nonzero()[0]
        cut = np.ones(len(kept), dtype=bool)
        np.not_equal(kept[1:], kept[:-1] + 1, out=cut[1:])
        return kept, cut


def close_by(met: IntArray, least: int) -> tuple[IntArray, BoolArray]:
    """Events from met to met with fewer than `least` unmet in a row and `least` met or more.

    Parameters
    ----------
    met : int64
        Numbers of the met events, rising.
    least : int

    Returns
    -------
    kept : int64, shape (n,)
        Numbers of events, rising.
    cut : bool, shape (n,)
        Before which of them some were left out.
    """
    gaps = (met[1:] - met[:-1] > least).nonzero()[0] + 1
    begins, ends = np.concatenate(([0], gaps)), np.concatenate((gaps, [len(met)]))
    enough = ends - begins >= least
    first, last = met[begins[enough]], met[ends[enough] - 1]
    sizes = last - first + 1
    offsets = sizes.cumsum() - sizes
    kept = np.repeat(first - offsets, sizes) + np.arange(int(sizes.sum()))
    cut = np.zeros(len(kept), dtype=bool)
    cut[offsets] = True
    return kept, cut


def running_segments(
    met: BoolArray,
    sides: Sequence[BoolArray],
    weight: IntArray,
    barrier: BoolArray,
    breaks: BoolArray,
    share: float,
    least: int,
) -> list[tuple[int, int]]:
    """Maximal segments in which met attacks make up at least `share` of each side's attacks.

    Those with fewer than `least` met attacks are left out.

    `sides` tells which events are attacks of the lines that are counted, one line or both, and
    `weight` of how many. An unmet event of a `barrier` closes a run.
    """
    closing = barrier & ~met
    section: IntArray = np.cumsum(closing | breaks)
    enough: BoolArray = np.bincount(section, met) >= least
    hopeful = met & enough[section]  # fewer can make no run
    if not hopeful.any():
        return []
    cost = round(1000 * share)
    scores = np.where(hopeful, weight * (1000 - cost), -weight * cost)
    scores[closing | (met & ~hopeful)] = -BARRIER
    segments = maximal_segments(scores, breaks)
    sums = [_running(met)]
    if len(segments) > 1:
        sums += map(_running, sides)
        segments = _join(segments, sums, section, share)
    total = sums[0].tolist()
    return [(i, j) for i, j in segments if total[j + 1] - total[i] >= least]


def _running(mask: BoolArray) -> IntArray:
    """Running count, beginning with 0."""
    total = np.zeros(len(mask) + 1, dtype=np.int64)
    mask.cumsum(out=total[1:])
    return total


def _join(
    segments: list[tuple[int, int]], sums: Sequence[IntArray], closed: IntArray, share: float
) -> list[tuple[int, int]]:
    """Join neighbours that are good enough together and each outweigh what parts them.

    `sums` are running counts of met events and of each side's attacks, `closed` rises where
    nothing may be joined.
    """
    ends = np.array(segments)
    begin, after = ends[:, 0], ends[:, 1] + 1
    met = sums[0][after] - sums[0][begin]
    gap = begin[1:] - after[:-1]
    near = (closed[begin[1:]] == closed[after[:-1] - 1]) & (gap < np.minimum(met[1:], met[:-1]))
    for side in sums[1:]:
        all_ = side[after[1:]] - side[begin[:-1]]
        near &= met[1:] + met[:-1] >= share * all_
    if not near.any():
        return segments
    joined: list[tuple[int, int]] = []
    k = 0
    while k < len(segments):
        pair = k + 1 < len(segments) and near[k]
        joined.append((segments[k][0], segments[k + 1][1]) if pair else segments[k])
        k += 2 if pair else 1
    return _join(joined, sums, closed, share) if len(joined) > 1 else joined


def find_breaks(grid: Attacks, events: IntArray, lines: tuple[int, ...]) -> BoolArray:
    """Where a run cannot go on: a new movement, or more than a bar of silence before."""
    breaks = np.zeros(len(events), dtype=bool)
    if len(events) > 1:
        ends = grid.end[lines[0]][events]
        for line in lines[1:]:
            ends = np.maximum(ends, grid.end[line][events])
        until = np.maximum.accumulate(ends)
        silence = grid.onset[events][1:] - until[:-1]
        breaks[1:] = silence > grid.bar_length[events][:-1]
        breaks[1:] |= grid.movement[events][1:] != grid.movement[events][:-1]
    return breaks
