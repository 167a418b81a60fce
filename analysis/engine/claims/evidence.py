"""Notes and rests that show or contradict something."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from analysis.engine.analyses import spans
from analysis.engine.analyses.attacks import IntArray, memo
from analysis.engine.claims.base import Bars
from analysis.engine.model import Evidence, NoteArray, ScoreTable

#: Notes lit for one piece of evidence: more would light the whole page.
MOST = 60


def rows_of(table: ScoreTable, lines: Iterable[int], start: int, end: int) -> NoteArray:
    """Rows attacked, or held, by the lines in ``start <= t < end`` (ticks); graces left out."""
    own = _of_lines(table)
    rows = table.sounding
    kept = []
    for line in set(lines):
        at, onset, until = own[line]
        kept.append(at[(onset < end) & (until > start)])
    found: NoteArray = rows[np.sort(np.concatenate(kept))] if kept else rows[:0]
    return found


def _of_lines(table: ScoreTable) -> tuple[tuple[IntArray, IntArray, IntArray], ...]:
    """Per line its rows among the sounding ones, with their onsets and ends."""

    def build() -> tuple[tuple[IntArray, IntArray, IntArray], ...]:
        rows = table.sounding
        onset = rows["onset"].astype(np.int64)
        until = onset + rows["duration"]
        order = np.argsort(rows["line"], kind="stable")
        cuts = np.searchsorted(rows["line"][order], np.arange(1, len(table.lines)))
        return tuple((at, onset[at], until[at]) for at in np.split(order, cuts))

    return memo(table, "_of_lines", build)


def attacked(table: ScoreTable, lines: Iterable[int], start: int, end: int) -> NoteArray:
    """Rows attacked in the span, without graces."""
    rows = rows_of(table, lines, start, end)
    found: NoteArray = rows[rows["onset"] >= start]
    return found


def notes(table: ScoreTable, rows: NoteArray) -> tuple[Evidence, ...]:
    """Evidence of these rows; nothing if there are none."""
    ids = table.note_ids(rows)[:MOST]
    return (Evidence(ids=tuple(ids)),) if ids else ()


def rests(table: ScoreTable, part: int, first: int, last: int) -> Evidence:
    """A part rests in bars first..last (indices)."""
    return Evidence(part=table.first_readings[part].id, bars=(first, last))


def playing_or_rests(
    table: ScoreTable, lines: Iterable[int], first: int, last: int
) -> tuple[Evidence, ...]:
    """The notes of the lines in these bars, or their rests where there are none."""
    own = list(lines)
    found = notes(table, rows_of(table, own, table.bars[first].start, table.bars[last].end))
    if found:
        return found
    parts = dict.fromkeys(table.lines[i].part for i in own)
    return tuple(rests(table, part, first, last) for part in parts)


def notes_or_rests(table: ScoreTable, lines: Iterable[int], bars: Bars) -> tuple[Evidence, ...]:
    """What the lines play between the beats claimed; their rests if that is nothing at all."""
    own = list(lines)
    found = notes(table, rows_of(table, own, bars.start, bars.end))
    parts = dict.fromkeys(table.lines[i].part for i in own)
    return found or tuple(rests(table, part, bars.first, bars.last) for part in parts)


def bars_sounding(table: ScoreTable, lines: Iterable[int]) -> frozenset[int]:
    """Bars in which any of the lines sounds."""
    own = list(lines)
    if not own:
        return frozenset()
    return frozenset(np.flatnonzero(spans.sounding(table)[own].any(axis=0)).tolist())
