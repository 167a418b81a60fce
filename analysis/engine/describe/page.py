"""What the page itself shows of some bars: who sounds in which bar, metre, printed loudness.

Nothing here asks a finding: the neutral description is made of this alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.engine.analyses.attacks import BoolArray
from analysis.engine.analyses.spans import sounding
from analysis.engine.errors import EngineError
from analysis.engine.model import Movement, ScoreTable

ONE_MOVEMENT = "Choose bars of one movement: a description does not go across its end."
NOT_THERE = "These bars are not in the score; choose others."

#: `dynamic` of the note table to words
LEVELS = (
    "", "pianississimo", "pianissimo", "piano", "mezzo piano", "mezzo forte", "forte",
    "fortissimo", "fortississimo",
)  # fmt: skip
#: share of the lines that must agree for a bar to have one loudness, or a hairpin; common practice
AGREED, HAIRPIN = 0.67, 0.5
MIXED, UNKNOWN = -1, 0


@dataclass(frozen=True)
class Passage:
    """Bars ``first..last`` (indices, inclusive) of one movement.

    `sounds`: shape (lines, bars of the passage); unpitched strokes and held notes too.
    """

    table: ScoreTable
    movement: Movement
    first: int
    last: int
    sounds: BoolArray

    @property
    def bars(self) -> range:
        return range(self.first, self.last + 1)

    @property
    def sounding(self) -> list[int]:
        """Lines that sound somewhere in the passage."""
        return [line for line, row in enumerate(self.sounds.tolist()) if any(row)]

    def where(self, mask: BoolArray) -> list[tuple[int, int]]:
        """Stretches of True over the passage's bars, as bar indices, inclusive."""
        edges = np.diff(np.r_[0, mask.astype(np.int8), 0])
        begins, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
        return [(self.first + int(a), self.first + int(b) - 1)
                for a, b in zip(begins, ends, strict=True)]  # fmt: skip


def passage(table: ScoreTable, first: int, last: int) -> Passage:
    """Bars of one movement.

    Raises
    ------
    EngineError
        If the bars are not in the score, or not in one movement.
    """
    if not 0 <= first <= last < len(table.bars):
        raise EngineError(NOT_THERE)
    movement = table.movements[table.bars[first].movement]
    if table.bars[last].movement != movement.index:
        raise EngineError(ONE_MOVEMENT)
    plays = sounding(table)[:, first : last + 1]
    return Passage(table, movement, first, last, plays)


def metres(p: Passage) -> list[tuple[int, int, int]]:
    """(bar index, beats, beat type) where a metre begins; beats 0: without metre."""
    found: list[tuple[int, int, int]] = []
    for index in p.bars:
        bar = p.table.bars[index]
        if not found or found[-1][1:] != (bar.beats, bar.beat_type):
            found.append((index, bar.beats, bar.beat_type))
    return found


def loudness(p: Passage) -> list[tuple[int, int]]:
    """(bar index, level) where the loudness of most lines changes.

    Levels as in the note table, 1 ppp .. 8 fff; `MIXED` where the lines do not agree. Bars
    without a known level, or in which nothing begins, keep that of the bar before; a passage
    without any gives an empty list.
    """
    rows = p.table.sounding
    rows = rows[(rows["bar"] >= p.first) & (rows["bar"] <= p.last) & (rows["dynamic"] > 0)]
    found: list[tuple[int, int]] = []
    for index in p.bars:
        here = rows[rows["bar"] == index]
        if not len(here):
            continue
        _, at = np.unique(here["line"], return_index=True)
        levels, counts = np.unique(here["dynamic"][at], return_counts=True)
        agreed = counts.max() >= AGREED * counts.sum()
        level = int(levels[counts.argmax()]) if agreed else MIXED
        if not found or found[-1][1] != level:
            found.append((index, level))
    return found


def hairpins(p: Passage) -> dict[str, list[tuple[int, int]]]:
    """Bars with a crescendo, or a diminuendo, in at least half of the parts that sound."""
    parts = np.array([line.part for line in p.table.lines], dtype=np.int64)
    plays = np.zeros((p.table.part_count, len(p.bars)), dtype=bool)
    for line, part in enumerate(parts.tolist()):
        plays[part] |= p.sounds[line]
    found = {}
    for word, begins in (("crescendo", "c"), ("diminuendo", "d")):
        has = np.zeros_like(plays)
        for mark in p.table.marks:
            if mark.kind != "wedge" or not mark.text.startswith(begins) or mark.part < 0:
                continue
            for n, index in enumerate(p.bars):
                bar = p.table.bars[index]
                has[mark.part, n] |= mark.onset < bar.end and mark.end > bar.start
        share = (has & plays).sum(axis=0) >= np.maximum(HAIRPIN * plays.sum(axis=0), 1)
        found[word] = p.where(share)
    return found
