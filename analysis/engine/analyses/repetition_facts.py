"""Repetitions: a figure of one line stated again at once, at the same height.

What a sequence is not (trade facts 9: net move 0). Rhythm and pitches are the same; a figure has
two notes or more, and two different pitches.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.melodic import NO_MOVE, stream
from analysis.engine.model import ScoreTable

#: attacks of a figure
FEWEST, LONGEST = 2, 40


@dataclass(frozen=True, slots=True)
class Repeated:
    """`statements` of a figure in `line`, `period` ticks apart, from `start` to `end` (ticks)."""

    line: int
    statements: int
    period: int
    start: int
    end: int


def repetitions(table: ScoreTable) -> tuple[Repeated, ...]:
    """All repetitions of a table, the shortest figure of each first; built once."""
    return memo(table, "_repetitions", lambda: _repetitions(table))


def _repetitions(table: ScoreTable) -> tuple[Repeated, ...]:
    s = stream(table)
    found: list[Repeated] = []
    for notes in range(FEWEST, min(LONGEST, len(s) // 2) + 1):
        same = (s.gap[:-notes] == s.gap[notes:]) & (s.move[:-notes] != NO_MOVE)
        same &= (s.line[:-notes] == s.line[notes:]) & (s.pitch[:-notes] == s.pitch[notes:])
        edges = np.diff(np.r_[False, same, False].astype(np.int8))
        begins, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
        for i, j in zip(begins.tolist(), ends.tolist(), strict=True):
            # The last note of all may be held longer, or go on another way.
            last = j + notes
            if last < len(s) and s.line[last] == s.line[i] and s.pitch[last] == s.pitch[j]:
                last += 1
            count = (last - i) // notes
            if count < 2 or len(np.unique(s.pitch[i : i + notes])) < 2:
                continue
            period = int(s.onset[i + notes] - s.onset[i])
            start = int(s.onset[i])
            found.append(Repeated(int(s.line[i]), count, period, start, start + count * period))
    return tuple(found)
