"""Runs of attacks that two lines have in common, after the contract's own words.

"Doubling joins two lines over a maximal run at one octave distance, by attacks met: met / notes
of `with` >= .9 and met / notes of the other >= .9, >= 3 met and >= 1 bar in the run." Taken
here so: a run begins and ends on an attack that is met. How much unmet a maximal run takes in
is not said; `surely` knows runs that any reading of it has, `possibly` all that one could have.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.simulated.music import Bools, Ints, Music

LEAST = 3
MARGIN = 6  # bars looked at before and after the claimed ones
#: met attacks beside a single unmet one, on either side, that make any run go on over it
CARRIES = 9


@dataclass(frozen=True)
class Row:
    """Attacks of two single lines in a window, onset by onset."""

    onset: Ints
    bar: Ints
    a: Ints  # pitch, or -1 where the line does not attack
    b: Ints
    end: Ints  # when the shorter of the notes attacked ends
    until: Ints  # when the longer does

    @property
    def both(self) -> Bools:
        return (self.a >= 0) & (self.b >= 0)


def row_of(music: Music, a: int, b: int, first: int, last: int) -> Row | None:
    """The attacks in bars first - MARGIN .. last + MARGIN; None unless both are single lines."""
    low, high = max(first - MARGIN, 0), min(last + MARGIN, music.bars - 1)
    if not (music.single[a, low : high + 1].all() and music.single[b, low : high + 1].all()):
        return None
    key = ("row", a, b, low, high)
    if key not in music._kept:
        music._kept[key] = whole_row(music, a, b, low, high)
    found = music._kept[key]
    assert isinstance(found, Row)
    return found


def whole_row(music: Music, a: int, b: int, low: int, high: int) -> Row:
    start, stop = music.starts[low], music.starts[high + 1]
    sides = []
    for part in (a, b):
        notes = music.notes[part]
        inside = (notes.onset >= start) & (notes.onset < stop)
        sides.append((notes.onset[inside], notes.pitch[inside], notes.end[inside]))
    onset = np.unique(np.concatenate([sides[0][0], sides[1][0]]))
    pitch = np.full((2, len(onset)), -1, dtype=np.int64)
    ends = np.full((2, len(onset)), -1, dtype=np.int64)
    for side, (on, pi, en) in enumerate(sides):
        at = np.searchsorted(onset, on)
        pitch[side, at], ends[side, at] = pi, en
    shorter = np.where((ends >= 0).all(axis=0), ends.min(axis=0), ends.max(axis=0))
    return Row(onset, music.bar_of(onset), pitch[0], pitch[1], shorter, ends.max(axis=0))


def octaves_met(row: Row, octaves: int) -> Bools:
    """`a` stands so many octaves above `b`."""
    found: Bools = row.both & (row.a - row.b == 12 * octaves)
    return found


def classes_met(row: Row) -> Bools:
    found: Bools = row.both & ((row.a - row.b) % 12 == 0)
    return found


def surely(music: Music, row: Row, met: Bools, *, motion: int = 1) -> set[int]:
    """Bars that hold by any reading: runs without a flaw, or with single ones far apart."""
    found: set[int] = set()
    for i, j in _flawless(music, row, met):
        inside = np.flatnonzero(met[i : j + 1]) + i
        first = int(row.bar[i])
        length = int(music.starts[first + 1] - music.starts[first])
        moves = min(len(np.unique(row.a[inside])), len(np.unique(row.b[inside])))
        if len(inside) >= LEAST and row.end[j] - row.onset[i] >= length and moves >= motion:
            found |= bars_true(music, row, i, j)
    return found


def _flawless(music: Music, row: Row, met: Bools) -> list[tuple[int, int]]:
    """Stretches of met events; two are one where a single unmet one lies between long ones."""
    runs: list[tuple[int, int]] = []
    for k in np.flatnonzero(met).tolist():
        if runs and runs[-1][1] == k - 1 and not _silent(music, row, k):
            runs[-1] = (runs[-1][0], k)
        else:
            runs.append((k, k))
    joined: list[tuple[int, int]] = []
    before = 0  # met events of the last flawless piece
    for i, j in runs:
        long = j - i + 1 >= CARRIES and before >= CARRIES
        if joined and long and i == joined[-1][1] + 2 and not _silent(music, row, i):
            joined[-1] = (joined[-1][0], j)
        else:
            joined.append((i, j))
        before = j - i + 1
    return joined


def _silent(music: Music, row: Row, k: int) -> bool:
    """Whether nearly a bar of silence lies before event `k`."""
    until = int(row.until[:k].max())
    bar = int(row.bar[k - 1])
    return int(row.onset[k]) - until > 0.9 * int(music.starts[bar + 1] - music.starts[bar])


def bars_true(music: Music, row: Row, i: int, j: int) -> set[int]:
    """ "A fact covers it, or begins or ends in it and covers its first or last attack"."""
    first, last = int(row.bar[i]), int(row.bar[j])
    found = set(range(first + 1, last))
    for bar in {first, last}:
        events = np.flatnonzero(row.bar == bar)
        covered = row.onset[i] <= music.starts[bar] and row.end[j] >= music.starts[bar + 1]
        if covered or i <= events[0] <= j or i <= events[-1] <= j:
            found.add(bar)
    return found


def possibly(
    music: Music, row: Row, met: Bools, share: float, *, least: int = LEAST, bars: float = 0
) -> set[int]:
    """Bars some run touches whose attacks meet to this share, however it is cut.

    `bars`: what a run must last at least, in bars.
    """
    at = np.flatnonzero(met)
    if len(at) < least:
        return set()
    found: set[int] = set()
    count = np.arange(1, len(at) + 1)
    sums = [np.r_[0, np.cumsum(side >= 0)] for side in (row.a, row.b)]
    for k, i in enumerate(at.tolist()):
        js = at[k + least - 1 :]
        have = count[k + least - 1 :] - k
        most = np.maximum(sums[0][js + 1] - sums[0][i], sums[1][js + 1] - sums[1][i])
        length = music.starts[row.bar[i] + 1] - music.starts[row.bar[i]]
        long = row.until[js] - row.onset[i] >= bars * length
        good = js[(have >= share * most) & long]
        if len(good):
            j = int(good[-1])
            held = int(music.bar_of(np.array([row.until[j] - 1]))[0])
            found |= set(range(int(row.bar[i]), max(int(row.bar[j]), held) + 1))
    return found


def in_part(music: Music, row: Row, met: Bools, bars: range) -> bool:
    """Whether the lines surely meet in part in each of the bars: a half, as it were, of each."""
    inside = np.isin(row.bar, list(bars))
    if not inside.any() or met[inside].sum() < 2 * LEAST:
        return False
    for bar in (None, *bars):
        here = inside if bar is None else row.bar == bar
        counts = [int((side[here] >= 0).sum()) for side in (row.a, row.b)]
        if min(counts) == 0:
            return False
        shares = [int(met[here].sum()) / n for n in counts]
        if min(shares) < 0.4 or max(shares) > 0.7:
            return False
    moves = [len(np.unique(side[inside & met])) for side in (row.a, row.b)]
    return min(moves) >= 4
