"""The real bass: the lowest sounding line, slice by slice, and where it is not the bass section.

The bass section is the cellos and double basses; without such strings the line most
often lowest.
Drums are no bass. A slice is that of `harmony`; notes shorter than a fifth of it do not count.
Told are stretches of two bars or more (common practice) in which the bass section rests and
another line is the bass, and those of a bar or more in which it plays above another line.

There is no claim of kind "bass": the first is told as a rest of the bass section, the second as a
crossing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses.attacks import BoolArray, memo
from analysis.engine.analyses.crossing import Crossing, crossings, neighbours
from analysis.engine.analyses.harmony import chord_rows, harmony
from analysis.engine.analyses.spans import heads, sounding, true_spans
from analysis.engine.analyses.speech import (
    bar_at,
    finding,
    names,
    part_value,
    part_values,
    place,
    span,
)
from analysis.engine.model import Evidence, Finding, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "bass.rests": "{place}: {section} {rest}; the real bass is {bass}.",
        "bass.above": (
            "{place}: the real bass is {bass}: {section} sounds above it, although it stands "
            "below it on the page."
        ),
    }
)

SECTION = ("cello", "double-bass")
BARS = 2
#: share of a stretch's slices from which a line is named as its bass
NAMED = 0.25
#: share of the sounding slices of a bar in which the bass is elsewhere
ELSEWHERE = 0.9
HEARD = 0.2
MOST = 10  # of each sort and movement, the longest first


@dataclass(frozen=True)
class Bass:
    """Who is lowest.

    Attributes
    ----------
    pitch : int64, shape (n,)
        Lowest pitch of each slice of `harmony`, -1 in silence.
    lines : bool, shape (lines, n)
        Lines that have it; several in unison.
    section : tuple of int
        Lines of the bass section.
    """

    pitch: NDArray[np.int64]
    lines: BoolArray
    section: tuple[int, ...]

    @property
    def elsewhere(self) -> BoolArray:
        """Slices whose lowest note is not in the bass section."""
        found: BoolArray = (self.pitch >= 0) & ~self.lines[list(self.section)].any(axis=0)
        return found


def real_bass(table: ScoreTable) -> Bass:
    """The real bass of a table, built once."""
    return memo(table, "_real_bass", lambda: _build(table))


def _section(table: ScoreTable, lines: BoolArray) -> tuple[int, ...]:
    """Lines of the bass section: cellos and double basses, else the line most often lowest."""
    found = [line.index for line in table.lines if line.instrument in SECTION]
    found = [i for i in found if len(table.by_line[i])]
    if found or not lines.any():
        return tuple(found)
    return (int(lines.sum(axis=1).argmax()),)


def _build(table: ScoreTable) -> Bass:
    edges = harmony(table).edges
    count = len(edges) - 1
    rows = chord_rows(table)
    low = np.full(max(count, 0), 999, dtype=np.int64)
    lines = np.zeros((len(table.lines), max(count, 0)), dtype=bool)
    if len(rows) and count > 0:
        onset, end = rows["onset"].astype(np.int64), (rows["onset"] + rows["duration"])
        first = np.clip(np.searchsorted(edges, onset, side="right") - 1, 0, count - 1)
        last = np.clip(np.searchsorted(edges, end, side="left") - 1, first, count - 1)
        reach = last - first + 1
        row = np.repeat(np.arange(len(rows)), reach)
        at = first[row] + np.arange(len(row)) - np.repeat(np.cumsum(reach) - reach, reach)
        time = np.minimum(end[row], edges[at + 1]) - np.maximum(onset[row], edges[at])
        heard = time > HEARD * np.diff(edges)[at]
        row, at = row[heard], at[heard]
        pitch = rows["pitch"].astype(np.int64)[row]
        np.minimum.at(low, at, pitch)
        lowest = pitch == low[at]
        lines[rows["line"][row[lowest]], at[lowest]] = True
    return Bass(np.where(low < 999, low, -1), lines, _section(table, lines))


def find_real_bass(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "playing" (the bass section rests) and "crossing" (it plays above)."""
    bass = real_bass(table)
    if not len(bass.pitch) or not bass.section:
        return []
    known = harmony(table)
    silent = ~sounding(table)[list(bass.section)].any(axis=0)
    heard = np.bincount(known.bar, bass.pitch >= 0, len(table.bars)) > 0
    rests = [(i, j) for i, j in true_spans(table, silent & heard) if j - i + 1 >= BARS]
    above = _above(table, bass, settings)
    found = []
    for movement in table.movements:
        bars = range(movement.first_bar, movement.last_bar + 1)
        mine = sorted((s for s in rests if s[0] in bars), key=lambda s: s[0] - s[1])[:MOST]
        found += [_rest(table, bass, i, j) for i, j in mine]
        crossed = [c for c in above if bar_at(table, c.start) in bars]
        crossed.sort(key=lambda c: c.start - c.end)
        found += [_crossing(table, c) for c in crossed[:MOST]]
    return sorted(found, key=lambda f: f.start)


def _share(table: ScoreTable, bass: Bass, start: int, end: int) -> list[int]:
    """Lines that are the bass of a stretch, in score order."""
    edges = harmony(table).edges
    i, j = np.searchsorted(edges, (start, end))
    there = max(int((bass.pitch[i:j] >= 0).sum()), 1)
    share = bass.lines[:, i:j].sum(axis=1) / there
    kept = np.flatnonzero(share >= NAMED)
    return kept.tolist() if len(kept) else [int(share.argmax())]


def _rest(table: ScoreTable, bass: Bass, first: int, last: int) -> Finding:
    start, end = table.bars[first].start, table.bars[last].end
    who = _share(table, bass, start, end)
    lines = [i for i in bass.section if i in heads(table)] or list(bass.section)
    parts = dict.fromkeys(table.first_readings[table.lines[i].part].id for i in lines)
    rows = [table.by_line[i] for i in who]
    notes = [r[(r["onset"] < end) & (r["onset"] + r["duration"] > start)] for r in rows]
    return finding(
        table,
        {"kind": "playing", "parts": part_values(table, lines), "mode": "rest"},
        start=start,
        end=max(end, start + 1),
        bars=(first, last),
        lines=[*lines, *(i for i in who if i not in lines)],
        evidence=[
            *(Evidence(part=part, bars=(first, last)) for part in parts),
            *(Evidence(ids=tuple(table.note_ids(n))) for n in notes if len(n)),
        ],
        template="bass.rests",
        params={
            "place": place(table, first, last),
            "section": names(table, lines),
            "rest": "rest" if len(lines) > 1 else "rests",
            "bass": names(table, who),
        },
    )


def _above(table: ScoreTable, bass: Bass, settings: Settings) -> list[Crossing]:
    """The longest crossing in each stretch in which the bass section plays above the bass."""
    known = harmony(table)
    sounds = sounding(table)[list(bass.section)].any(axis=0)
    count = np.bincount(known.bar, bass.pitch >= 0, len(table.bars))
    away = np.bincount(known.bar, bass.elsewhere, len(table.bars))
    bars = (count > 0) & (away >= ELSEWHERE * count) & sounds
    told = set(neighbours(table))  # told by `crossing` already
    found = []
    for first, last in true_spans(table, bars):
        start, end = table.bars[first].start, table.bars[last].end
        pairs = [
            (upper, lower)
            for upper in _share(table, bass, start, end)
            for lower in bass.section
            if upper < lower and (upper, lower) not in told
        ]
        best = _longest(table, pairs, start, end, settings)
        if best is not None and best.end - best.start >= table.bars[first].length:
            found.append(best)
    return found


def _longest(
    table: ScoreTable,
    pairs: Iterable[tuple[int, int]],
    start: int,
    end: int,
    settings: Settings,
) -> Crossing | None:
    inside = [
        c
        for upper, lower in pairs
        for c in _crossings(table, upper, lower, settings)
        if start <= c.start and c.end <= end
    ]
    return max(inside, key=lambda c: (c.end - c.start, -c.start), default=None)


def _crossings(table: ScoreTable, upper: int, lower: int, settings: Settings) -> list[Crossing]:
    key = f"_crossings-{upper}-{lower}-{hash(settings)}"
    return memo(table, key, lambda: crossings(table, upper, lower, settings))


def _crossing(table: ScoreTable, crossing: Crossing) -> Finding:
    first = bar_at(table, crossing.start)
    last = min(bar_at(table, crossing.end - 1), first + 7)  # an occurrence lies within 8 bars
    end = max(min(crossing.end, table.bars[last].end), crossing.start + 1)
    return finding(
        table,
        {
            "kind": "crossing",
            "parts": [],
            "upper": part_value(table, crossing.upper),
            "lower": part_value(table, crossing.lower),
        },
        start=crossing.start,
        end=end,
        lines=[crossing.upper, crossing.lower],
        evidence=[
            Evidence(ids=tuple(table.note_ids(crossing.upper_rows))),
            Evidence(ids=tuple(table.note_ids(crossing.lower_rows))),
        ],
        template="bass.above",
        params={
            "place": span(table, crossing.start, end),
            "bass": names(table, [crossing.upper]),
            "section": names(table, [crossing.lower]),
        },
    )
