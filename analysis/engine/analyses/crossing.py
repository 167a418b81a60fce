"""Crossings: a part lower on the page sounds above its upper neighbour.

Compared are the sounding pitches at every moment in which both sound. A crossing counts from two
notes or one beat on; a shorter one is told as a dip.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from analysis.engine.analyses.attacks import IntArray, memo
from analysis.engine.analyses.spans import heads
from analysis.engine.analyses.speech import bar_at, finding, names, part_value, span
from analysis.engine.model import Evidence, Finding, NoteArray, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "crossing.over": "{place}: {lower} crosses above {upper} ({notes} notes).",
        "crossing.held": "{place}: {lower} crosses above {upper} for a beat or longer.",
        "crossing.dip": "{place}: {lower} is above {upper} for a moment.",
    }
)


@dataclass(frozen=True, slots=True)
class Crossing:
    """`lower` (lower on the page) sounds above `upper` over ``start <= t < end`` (ticks).

    `notes` counts the attacks of either line inside, `dip` tells a single short note.
    """

    upper: int
    lower: int
    start: int
    end: int
    notes: int
    dip: bool
    upper_rows: NoteArray
    lower_rows: NoteArray


def crossings(table: ScoreTable, upper: int, lower: int, settings: Settings) -> list[Crossing]:
    """All crossings of two lines, for any pair; rests of either line end one.

    Two lines cross where the top of `lower` is above the top of `upper` and the bottom of
    `lower` above its bottom: a chord that merely reaches over does not cross.
    """
    store: dict[tuple[int, int, Settings], list[Crossing]] = memo(table, "_crossings", dict)
    key = (upper, lower, settings)
    if key not in store:
        store[key] = _crossings(table, upper, lower, settings)
    return store[key]


def _crossings(table: ScoreTable, upper: int, lower: int, settings: Settings) -> list[Crossing]:
    above, below = table.by_line[upper], table.by_line[lower]
    if not len(above) or not len(below):
        return []
    # A movement's first bar begins anew: nothing crosses over into it.
    anew = [table.bars[m.first_bar].start for m in table.movements]
    times = np.unique(
        np.concatenate([above["onset"], _ends(above), below["onset"], _ends(below), anew])
    ).astype(np.int64)
    high, low = _profile(table, upper, times), _profile(table, lower, times)
    both = (high[0] >= 0) & (low[0] >= 0)
    crossed = both & (low[1] > high[1]) & (low[0] > high[0])
    goes_on = crossed[:-1] & crossed[1:] & ~np.isin(times[1:], anew)
    begins = np.flatnonzero(crossed & ~np.r_[False, goes_on])
    ends = np.flatnonzero(crossed & ~np.r_[goes_on, False]) + 1
    found = []
    for i, j in zip(begins.tolist(), ends.tolist(), strict=True):
        start, end = int(times[i]), int(times[j])
        upper_rows = _sounding_rows(above, start, end)
        lower_rows = _sounding_rows(below, start, end)
        new = {int(t) for rows in (upper_rows, lower_rows) for t in rows["onset"] if t > start}
        notes = 1 + len(new)
        beat = table.bars[bar_at(table, start)].beat_ticks
        dip = notes < settings.crossing_min_notes and end - start < beat
        found.append(Crossing(upper, lower, start, end, notes, dip, upper_rows, lower_rows))
    return found


def neighbours(table: ScoreTable) -> list[tuple[int, int]]:
    """Pairs of lines that stand one above the other in a family, the higher one above.

    Horns stand above trumpets on the page and sound below them: where the lower neighbour is
    the higher one as a rule (by its median pitch), the page says nothing about height.
    """

    def median(line: int) -> float:
        return float(np.median(table.by_line[line]["pitch"]))

    playing = [table.lines[i] for i in heads(table) if len(table.by_line[i])]
    pairs = []
    for upper, lower in pairwise(playing):
        same = upper.family == lower.family and upper.family not in {"unknown", "percussion"}
        if same and median(upper.index) >= median(lower.index):
            pairs.append((upper.index, lower.index))
    return pairs


def find_crossings(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "crossing" between neighbours of a family; dips are told as dips."""
    found = []
    for upper, lower in neighbours(table):
        for crossing in crossings(table, upper, lower, settings):
            found.append(_finding(table, crossing))
    return found


def _finding(table: ScoreTable, crossing: Crossing) -> Finding:
    return finding(
        table,
        {
            "kind": "crossing",
            "parts": [],
            "upper": part_value(table, crossing.upper),
            "lower": part_value(table, crossing.lower),
        },
        start=crossing.start,
        end=crossing.end,
        lines=[crossing.upper, crossing.lower],
        evidence=[
            Evidence(ids=tuple(table.note_ids(crossing.lower_rows))),
            Evidence(ids=tuple(table.note_ids(crossing.upper_rows))),
        ],
        template=_template(crossing),
        params={
            "place": span(table, crossing.start, crossing.end),
            "upper": names(table, [crossing.upper]),
            "lower": names(table, [crossing.lower]),
            "notes": crossing.notes,
        },
    )


def _template(crossing: Crossing) -> str:
    if crossing.dip:
        return "crossing.dip"
    return "crossing.over" if crossing.notes > 1 else "crossing.held"


def _ends(rows: NoteArray) -> IntArray:
    ends: IntArray = rows["onset"] + rows["duration"]
    return ends


def _sounding_rows(rows: NoteArray, start: int, end: int) -> NoteArray:
    found: NoteArray = rows[(rows["onset"] < end) & (_ends(rows) > start)]
    return found


def _profile(table: ScoreTable, line: int, times: IntArray) -> tuple[IntArray, IntArray]:
    """Lowest and highest pitch sounding between successive `times`; -1 where silent."""
    rows = table.by_line[line]
    low = np.full(len(times), 999, dtype=np.int64)
    high = np.full(len(times), -1, dtype=np.int64)
    first = np.searchsorted(times, rows["onset"])
    last = np.searchsorted(times, _ends(rows))
    reach = last - first
    passed = np.repeat(np.cumsum(reach) - reach, reach)
    at = np.repeat(first, reach) + np.arange(reach.sum()) - passed
    pitch = np.repeat(rows["pitch"].astype(np.int64), reach)
    np.minimum.at(low, at, pitch)
    np.maximum.at(high, at, pitch)
    low[high < 0] = -1
    return low, high
