"""Ties joined: one row for what sounds once."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from analysis.engine.reader.raw import PITCHED, TIE_START, TIE_STOP


class Joined(NamedTuple):
    """Ties of a file.

    ``head[i]`` is the row of the first note of the tie that note i goes on,
    or i. `also` lists (head, row) where a note goes on two: two players tied
    into one note "a 2".
    """

    head: NDArray[np.int64]
    also: list[tuple[int, int]]


class _Open(NamedTuple):
    end: int
    voice: int
    staff: int
    row: int


def join(
    raw: NDArray[np.void],
    onset: NDArray[np.int64],
    pitch: NDArray[np.int64],
    end: NDArray[np.int64],
) -> Joined:
    """Find which notes are one sound.

    Parameters
    ----------
    raw : array of RAW, shape (n,)
        `tie` unites what `<tie>` and `<tied>` say: a file that gives only one
        of the two is read as its page looks.
    onset : array of int, shape (n,)
        Ticks from the start of the file.
    pitch : array of int, shape (n,)
        Sounding MIDI; ties between enharmonic spellings join too.
    end : array of int, shape (n,)
        Where each note ends; the end of the bar for the last note of a part
        that does not fill it.

    Notes
    -----
    A tie joins only where one note ends and the next of the same part and
    pitch begins, with a start on the one and a stop on the other: within the
    voice if possible, else across voices, else across staves. So the stop at
    the head of a second ending, whose start stands before the first ending,
    stays a note of its own in printed order, and a start that nothing answers
    (let it ring) lengthens nothing.
    """
    head = np.arange(len(raw), dtype=np.int64)
    also: list[tuple[int, int]] = []
    waiting: dict[_Key, list[_Open]] = {}
    for key, start, group in _struck_together(raw, onset, end, pitch):
        opened = waiting.get(key, [])
        stops = [note for note in group if note.tie & TIE_STOP]
        here = [o for o in opened if o.end == start]
        if stops and here:
            pairs, rest, left = _pair(here, stops)
            for first, note in pairs:
                head[note.row] = head[first.row]
            if rest and len(stops) == 1:
                # Two voices tied into one note: it goes on both of them.
                also += [(int(head[o.row]), stops[0].row) for o in rest]
            if left and len(here) == 1 and _ending(raw, pitch, end, here[0].row) == 1:
                # One note "a 2" tied into two voices: both go on it.
                for note in left:
                    head[note.row] = head[here[0].row]
        starts = [note for note in group if note.tie & TIE_START]
        if starts:
            # What ended before can no longer be answered.
            waiting[key] = [o for o in opened if o.end > start]
            waiting[key] += [_Open(n.end, n.voice, n.staff, n.row) for n in starts]
    return Joined(head, also)


_Key = tuple[int, int, int]  # part, sounding pitch, cents


class _Note(NamedTuple):
    row: int
    end: int
    voice: int
    staff: int
    tie: int


def _struck_together(
    raw: NDArray[np.void],
    onset: NDArray[np.int64],
    end: NDArray[np.int64],
    pitch: NDArray[np.int64],
) -> Iterator[tuple[_Key, int, list[_Note]]]:
    """Tied notes of one part and pitch at one onset, in time order; graces before main notes."""
    tied = np.flatnonzero((raw["tie"] != 0) & (raw["kind"] == PITCHED))
    order = raw["order"][tied]
    by = np.lexsort((order, onset[tied], raw["cents"][tied], pitch[tied], raw["part"][tied]))
    tied = tied[by]
    names = ("part", "cents", "order", "voice", "staff", "tie")
    part, cents, place, voice, staff, tie = (raw[name][tied].tolist() for name in names)
    starts, ends, sounds = onset[tied].tolist(), end[tied].tolist(), pitch[tied].tolist()
    group: list[_Note] = []
    before: tuple[_Key, int, int] | None = None
    for i, row in enumerate(tied.tolist()):
        now = ((part[i], sounds[i], cents[i]), starts[i], place[i])
        if before is not None and now != before:
            yield before[0], before[1], group
            group = []
        before = now
        group.append(_Note(row, ends[i], voice[i], staff[i], tie[i]))
    if before is not None:
        yield before[0], before[1], group


def _pair(
    opened: list[_Open], stops: list[_Note]
) -> tuple[list[tuple[_Open, _Note]], list[_Open], list[_Note]]:
    """Open notes with the stops that answer them: same voice, then same staff, then any."""
    pairs: list[tuple[_Open, _Note]] = []
    opened, stops = list(opened), list(stops)
    for alike in (
        lambda o, n: o.voice == n.voice and o.staff == n.staff,
        lambda o, n: o.staff == n.staff,
        lambda o, n: True,
    ):
        for note in list(stops):
            first = next((o for o in opened if alike(o, note)), None)
            if first is not None:
                pairs.append((first, note))
                opened.remove(first)
                stops.remove(note)
    return pairs, opened, stops


def _ending(
    raw: NDArray[np.void], pitch: NDArray[np.int64], end: NDArray[np.int64], row: int
) -> int:
    """How many notes of this part and pitch end where `row` ends, tied or not."""
    same = (raw["part"] == raw["part"][row]) & (pitch == pitch[row]) & (end == end[row])
    return int(np.count_nonzero(same & (raw["kind"] == PITCHED) & (raw["dur"] > 0)))
