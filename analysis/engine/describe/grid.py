"""The table behind the words: parts by bars, who plays and who rests, and with whom."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.engine.claims.speech import say
from analysis.engine.describe.page import passage
from analysis.engine.describe.reading import Reading
from analysis.engine.describe.who import who
from analysis.engine.errors import EngineError
from analysis.engine.model import Finding, ScoreTable, Sentence
from analysis.engine.pitch import Pitch
from analysis.engine.places import label
from analysis.engine.sentences import register

register(
    {
        "describe.cell.plays": "plays",
        "describe.cell.rests": "rests",
        "describe.cell.melody": "melody",
        "describe.cell.with": "{distance} from {who}",
        "describe.cell.unison": "with {who}",
        "describe.cell.above": "an octave above {who}",
        "describe.cell.below": "an octave below {who}",
        "describe.cell.far.above": "{count} octaves above {who}",
        "describe.cell.far.below": "{count} octaves below {who}",
    }
)

#: bars of one table: more are no longer a table one can hear
MOST_BARS = 16
TOO_MANY = "The table holds {most} bars at most; choose fewer."
_COUNT = ("no", "one", "two", "three", "four", "five", "six")


@dataclass(frozen=True)
class Row:
    """One staff, or one player of it. `plays` for a mark beside the word.

    `lowest` and `highest` are its notes over the bars, as they sound: "D3"; "" where it rests.
    """

    label: str
    cells: tuple[tuple[bool, Sentence], ...]
    lowest: str = ""
    highest: str = ""


@dataclass(frozen=True)
class Grid:
    bars: tuple[str, ...]  # printed labels
    rows: tuple[Row, ...]


def grid(
    table: ScoreTable, first: int, last: int, findings: Sequence[Finding] | None = None
) -> Grid:
    """Parts by bars ``first..last``; with findings, whom each one doubles.

    A cell names the first of those it doubles on the page above it, or, for the first of
    them, "melody" or "plays".

    Raises
    ------
    EngineError
        If the bars are not in one movement of the score, or too many.
    """
    p = passage(table, first, last)
    if len(p.bars) > MOST_BARS:
        raise EngineError(TOO_MANY.format(most=MOST_BARS))
    reading = Reading(p, findings) if findings is not None else None
    leaders = [line for line, _ in reading.leaders()] if reading else [-1] * len(p.bars)
    names = who(table, p.movement.index)
    rows = []
    for chair in names.chairs:
        cells = []
        for n, bar in enumerate(p.bars):
            line = next((k for k in chair.lines if p.sounds[k, n]), None)
            if line is None:
                cells.append((False, say("describe.cell.rests")))
                continue
            shown = _together(reading, line, bar, leaders[n]) if reading else None
            if shown is not None:
                cells.append((True, _with(names.name(shown[0]), shown[1])))
            elif line == leaders[n]:
                cells.append((True, say("describe.cell.melody")))
            else:
                cells.append((True, say("describe.cell.plays")))
        rows.append(Row(chair.label, tuple(cells), *_reach(table, chair.lines, p.bars)))
    return Grid(tuple(label(table, b) for b in p.bars), tuple(rows))


def _reach(table: ScoreTable, lines: Sequence[int], bars: Sequence[int]) -> tuple[str, str]:
    """Lowest and highest sounding note that begins in these bars."""
    notes = np.concatenate([table.notes[:0], *(table.by_line[line] for line in lines)])
    notes = notes[(notes["bar"] >= bars[0]) & (notes["bar"] <= bars[-1])]
    if not len(notes):
        return "", ""
    ends = notes[notes["pitch"].argmin()], notes[notes["pitch"].argmax()]
    low, high = (Pitch(int(r["step"]), int(r["alter"]), int(r["octave"])).name for r in ends)
    return low, high


def _together(reading: Reading, line: int, bar: int, leader: int) -> tuple[int, int] | None:
    """(the line it goes with, octaves above that one); the leader goes with nobody."""
    if line == leader:
        return None
    found = reading.doublers(line, bar)
    if leader in found:
        return leader, -found[leader]
    above = [other for other in found if other < line]
    return (above[0], -found[above[0]]) if above else None


def _with(name: str, octaves: int) -> Sentence:
    if not octaves:
        return say("describe.cell.unison", who=name)
    way, size = ("above" if octaves > 0 else "below"), abs(octaves)
    if size == 1:
        return say(f"describe.cell.{way}", who=name)
    count = _COUNT[size] if size < len(_COUNT) else str(size)
    return say(f"describe.cell.far.{way}", who=name, count=count)
