"""Spans of bars, and what sounds in them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses.attacks import BoolArray, memo
from analysis.engine.model import NoteFlag, ScoreTable

#: a note must sound longer than this in a bar to be "in" it: rounding leaves single ticks
SLACK = 8


def true_spans(table: ScoreTable, bars: BoolArray) -> list[tuple[int, int]]:
    """Maximal stretches of True over bar indices, inclusive, none across movements."""
    cuts = np.zeros(len(bars), dtype=bool)
    cuts[[m.first_bar for m in table.movements if m.first_bar < len(bars)]] = True
    begins = bars & (~np.r_[False, bars[:-1]] | cuts)
    ends = bars & (~np.r_[bars[1:], False] | np.r_[cuts[1:], True])
    return list(zip(np.flatnonzero(begins).tolist(), np.flatnonzero(ends).tolist(), strict=True))


def heads(table: ScoreTable) -> dict[int, tuple[int, ...]]:
    """Lines that one counts, each with the lines of its divisi.

    "Violin II, div. 2" has a line of its own only where the section divides; it neither rests
    nor enters while the section plays undivided, so it counts with its section.
    """
    return memo(table, "_heads", lambda: _heads(table))


def _heads(table: ScoreTable) -> dict[int, tuple[int, ...]]:
    section = {
        (line.part, line.instrument): line.index for line in table.lines if line.players == 0
    }
    found: dict[int, list[int]] = {}
    for line in table.lines:
        own = line.index if not line.players else section.get((line.part, line.instrument))
        found.setdefault(line.index if own is None else own, []).append(line.index)
    return {head: tuple(lines) for head, lines in sorted(found.items())}


def sounding(table: ScoreTable) -> BoolArray:
    """Whether each line sounds in each bar, shape (lines, bars); unpitched strokes too.

    A section sounds while any of its divisi does, and a divisi line while its section does.
    """
    return memo(table, "_sounding", lambda: _sections(table, _sounding(table)))


def counted(table: ScoreTable) -> BoolArray:
    """`sounding` of heads alone, False for divisi lines: for counting who plays."""
    mask = np.zeros((len(table.lines), 1), dtype=bool)
    mask[list(heads(table))] = True
    found: BoolArray = sounding(table) & mask
    return found


def _sections(table: ScoreTable, plays: BoolArray) -> BoolArray:
    for lines in heads(table).values():
        if len(lines) > 1:
            plays[list(lines)] = np.logical_or.reduce(plays[list(lines)], axis=0)
    return plays


def _sounding(table: ScoreTable) -> BoolArray:
    bars = np.zeros((len(table.lines), len(table.bars)), dtype=np.int64)
    rows = table.sounding
    rows = rows[(rows["flags"] & NoteFlag.GRACE) == 0]
    if len(rows):
        starts = table.bar_starts()
        first = np.searchsorted(starts, rows["onset"], side="right") - 1
        ends = rows["onset"] + np.maximum(rows["duration"] - SLACK, 1)
        last = np.searchsorted(starts, ends, side="left") - 1
        last = np.maximum(last, first)
        edges = np.zeros((len(table.lines), len(table.bars) + 1), dtype=np.int64)
        np.add.at(edges, (rows["line"], first), 1)
        np.add.at(edges, (rows["line"], last + 1), -1)
        bars = np.cumsum(edges, axis=1)[:, :-1]
    result: BoolArray = bars > 0
    return result


def intervals(table: ScoreTable) -> tuple[NDArray[np.int64], ...]:
    """When each line sounds: merged (start, end) in ticks, shape (k, 2); sections with divisi."""
    return memo(table, "_intervals", lambda: _intervals(table))


def _intervals(table: ScoreTable) -> tuple[NDArray[np.int64], ...]:
    rows = table.sounding
    rows = rows[(rows["flags"] & NoteFlag.GRACE) == 0]
    times = np.stack([rows["onset"], rows["onset"] + rows["duration"]], axis=1).astype(np.int64)
    found: list[NDArray[np.int64]] = [np.zeros((0, 2), dtype=np.int64)] * len(table.lines)
    for lines in heads(table).values():
        together = merged(times[np.isin(rows["line"], lines)])
        for line in lines:
            found[line] = together
    return tuple(found)


def merged(times: NDArray[np.int64]) -> NDArray[np.int64]:
    """Union of (start, end) intervals, shape (k, 2), rising; gaps up to `SLACK` close."""
    if not len(times):
        return np.zeros((0, 2), dtype=np.int64)
    times = times[np.argsort(times[:, 0], kind="stable")]
    start, until = times[:, 0], np.maximum.accumulate(times[:, 1])
    first = np.flatnonzero(np.r_[True, start[1:] > until[:-1] + SLACK])
    return np.stack([start[first], until[np.r_[first[1:] - 1, len(times) - 1]]], axis=1)
