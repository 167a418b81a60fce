"""Ranges: lowest and highest note of each line, and registers that have a name.

Extremes are told per movement, and for the whole file where it holds several. Register words
belong to written pitch on the clarinet and the brass, to sounding pitch elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from analysis.engine.analyses.attacks import BoolArray, IntArray
from analysis.engine.analyses.spans import heads, true_spans
from analysis.engine.analyses.speech import finding, names, number, part_value, place
from analysis.engine.model import Evidence, Finding, NoteArray, ScoreTable
from analysis.engine.pitch import NATURAL, Pitch, midi
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "range.highest": "{place}: {pitch} is the highest note of {parts} {within}.",
        "range.lowest": "{place}: {pitch} is the lowest note of {parts} {within}.",
        "range.highest-again": (
            "{place}: {pitch} is the highest note of {parts} {within}, here for the first of "
            "{times} times."
        ),
        "range.lowest-again": (
            "{place}: {pitch} is the lowest note of {parts} {within}, here for the first of "
            "{times} times."
        ),
        "marking.register": "{place}: {parts} stays in its {register} register{name}.",
    }
)

Extreme = Literal["highest", "lowest"]
Register = Literal["low", "middle", "high"]
EXTREMES: tuple[Extreme, ...] = ("highest", "lowest")

#: an extreme reached more often has its first place told only; common practice
PLACES = 3
#: fewest bars and share of notes for "stays in its low register"; common practice
REGISTER_BARS = 4
REGISTER_SHARE = 0.9
#: who is in the middle register is where one expects it: only the ends are told
TOLD: tuple[Register, ...] = ("low", "high")


@dataclass(frozen=True, slots=True)
class Registers:
    """First pitch of the middle and of the high register, and what they are called."""

    middle: int
    high: int
    names: tuple[str, str, str]
    written: bool = False

    def of(self, pitch: int) -> Register:
        return "low" if pitch < self.middle else "high" if pitch >= self.high else "middle"


def _registers(middle: str, high: str, names: str, *, written: bool = False) -> Registers:
    low, mid, top = names.split(" / ")
    return Registers(midi(middle), midi(high), (low, mid, top), written)


# Boundaries: common practice, where books differ by one to three semitones; Rimsky-Korsakov,
# Principles of Orchestration (1922), ch. I, for the extremes of the woodwind.
REGISTERS: dict[str, Registers] = {
    "flute": _registers("C5", "C6", "low / middle / high"),
    "piccolo": _registers("D6", "D6", "low / low / high"),  # no middle: feeble, then piercing
    "oboe": _registers("G4", "Bb5", "low / middle / high"),
    "clarinet": _registers("G4", "C#6", "chalumeau / throat and clarion / high", written=True),
    "bassoon": _registers("G2", "E4", "low / middle / tenor"),
    "horn": _registers("C3", "D5", "low / middle / high", written=True),
    "trumpet": _registers("C4", "G5", "low / middle / high", written=True),
    "trombone": _registers("Bb2", "G4", "low / middle / high"),
    "tenor-trombone": _registers("Bb2", "G4", "low / middle / high"),
    "violin": _registers("D4", "E5", "G string / middle strings / E string range"),
    "viola": _registers("G3", "A4", "C string / middle strings / A string range"),
    "cello": _registers("D3", "A3", "low strings / D string / A string range"),
    "double-bass": _registers("D2", "G2", "low strings / D string / G string range"),
}


def written_pitch(rows: NoteArray) -> IntArray:
    """Written MIDI numbers."""
    natural = np.array(NATURAL)[rows["wstep"].astype(np.int64)]
    found: IntArray = 12 * (rows["woctave"].astype(np.int64) + 1) + natural + rows["walter"]
    return found


def extreme(
    table: ScoreTable, line: int, which: Extreme, start: int, end: int, *, written: bool = False
) -> NoteArray:
    """The rows of the highest or lowest note `line` attacks in ``start <= onset < end`` (ticks).

    All rows at that pitch, by onset; empty if the line attacks nothing there.
    """
    rows = section_rows(table, line)
    rows = rows[(rows["onset"] >= start) & (rows["onset"] < end)]
    if not len(rows):
        return rows
    pitch = written_pitch(rows) if written else rows["pitch"]
    best = pitch.max() if which == "highest" else pitch.min()
    found: NoteArray = rows[pitch == best]
    return found


def section_rows(table: ScoreTable, line: int) -> NoteArray:
    """Rows of a line, of a section with those of its divisi, by onset and pitch."""
    lines = heads(table).get(line, (line,))
    rows = table.by_line[line]
    if len(lines) > 1:
        rows = np.concatenate([table.by_line[i] for i in lines])
        rows = rows[np.lexsort((rows["pitch"], rows["onset"]))]
    return rows


def register_of(instrument: str, rows: NoteArray) -> list[Register]:
    """Register of each row, or an empty list for an instrument without named registers."""
    known = REGISTERS.get(instrument)
    if known is None:
        return []
    pitch = written_pitch(rows) if known.written else rows["pitch"]
    return [known.of(int(p)) for p in pitch]


def find_ranges(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "range": the extremes of each line, per movement and in the whole file."""
    found = []
    several = len(table.movements) > 1
    limits = [
        (table.bars[m.first_bar].start, table.bars[m.last_bar].end, "movement")
        for m in table.movements
    ]
    if several:
        limits.append((table.bars[0].start, table.bars[-1].end, "work"))
    for line in heads(table):
        for start, end, within in limits:
            for which in EXTREMES:
                rows = extreme(table, line, which, start, end)
                found += _places(table, line, which, within, rows)
    return found


def find_registers(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "marking": passages in the low or high register of an instrument."""
    found = []
    for line in (table.lines[i] for i in heads(table)):
        known = REGISTERS.get(line.instrument)
        if known is None:
            continue
        rows = section_rows(table, line.index)
        words = register_of(line.instrument, rows)
        for word in TOLD:
            there = np.array([w == word for w in words], dtype=bool)
            for first, last in true_spans(table, _register_bars(table, rows, there)):
                inside = rows[(rows["bar"] >= first) & (rows["bar"] <= last)]
                if last - first + 1 >= REGISTER_BARS:
                    found.append(_register(table, line.index, word, known, first, last, inside))
    return found


def _register_bars(table: ScoreTable, rows: NoteArray, hit: BoolArray) -> BoolArray:
    """Bars in which the line attacks and (nearly) all its notes are `hit`."""
    count = np.bincount(rows["bar"], minlength=len(table.bars))
    hits = np.bincount(rows["bar"][hit], minlength=len(table.bars))
    result: BoolArray = (count > 0) & (hits >= REGISTER_SHARE * count)
    return result


def _register(
    table: ScoreTable,
    line: int,
    word: Register,
    known: Registers,
    first: int,
    last: int,
    rows: NoteArray,
) -> Finding:
    name = known.names[("low", "middle", "high").index(word)]
    return finding(
        table,
        {"kind": "marking", "parts": [part_value(table, line)], "register": word},
        start=table.bars[first].start,
        end=table.bars[last].end,
        lines=[line],
        evidence=[Evidence(ids=tuple(table.note_ids(rows)))],
        template="marking.register",
        params={
            "place": place(table, first, last),
            "parts": names(table, [line]),
            "register": word,
            "name": "" if name == word else f" ({name})",
        },
    )


def _places(
    table: ScoreTable, line: int, which: str, within: str, rows: NoteArray
) -> list[Finding]:
    """One finding for each bar that has the extreme; for the first alone if they are many."""
    if not len(rows):
        return []
    bars = list(dict.fromkeys(rows["bar"].tolist()))
    rare = len(bars) <= PLACES
    row = rows[0]
    pitch = Pitch(int(row["step"]), int(row["alter"]), int(row["octave"])).name
    found = []
    for bar in bars if rare else bars[:1]:
        here = rows[
            (rows["onset"] >= table.bars[bar].start) & (rows["onset"] < table.bars[bar].end)
        ]
        found.append(
            finding(
                table,
                {
                    "kind": "range",
                    "parts": [part_value(table, line)],
                    "extreme": which,
                    "pitch": pitch,
                    "within": within,
                },
                start=int(here["onset"][0]),
                end=int(here["onset"][-1]) + int(here["duration"][-1]),
                bars=(bar, bar),
                lines=[line],
                evidence=[Evidence(ids=tuple(table.note_ids(here)))],
                template=f"range.{which}" if rare else f"range.{which}-again",
                params={
                    "place": place(table, bar, bar),
                    "parts": names(table, [line]),
                    "pitch": pitch,
                    "within": "in the movement" if within == "movement" else "in the whole work",
                    "times": number(len(bars)),
                },
            )
        )
    return found
