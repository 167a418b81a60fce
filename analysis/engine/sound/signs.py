"""What the signs over a table's notes ask for: further strokes, later ones, another sound."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from analysis.engine.model import TICKS, NoteFlag, ScoreTable, Technique
from analysis.engine.sound import ornaments
from analysis.engine.sound.neighbours import Neighbours
from analysis.engine.sound.tempo import Clock

if TYPE_CHECKING:
    from analysis.engine.sound.performance import Stroke

_GRACE = int(NoteFlag.GRACE)
_TREMOLO = int(NoteFlag.TREMOLO)
_PAIR = int(NoteFlag.TREMOLO_PAIR)
_ARPEGGIO = int(NoteFlag.ARPEGGIO)
_PIZZICATO = int(Technique.PIZZICATO)


class Signs:
    """The signs of one table, at the tempo of one performance."""

    def __init__(self, table: ScoreTable, clock: Clock) -> None:
        self._clock = clock
        self._near = Neighbours(table)
        self._strings = {r.index for r in table.first_readings if r.family == "strings"}
        self._pairs = _pairs(table)
        self._ranks = _ranks(table)

    def _second(self, on: int) -> float:
        return self._clock.quarters_at(on) / 60 * TICKS

    def blurred(self, note: Any, on: int) -> bool:
        """Whether it is a tremolo of bows nobody counts: a sound of its own."""
        flags = int(note["flags"])
        return bool(
            flags & _TREMOLO
            and int(note["part"]) in self._strings
            and not int(note["technique"]) & _PIZZICATO
            and not ornaments.counted(int(note["duration"]), flags, self._second(on))
        )

    def played(self, plain: Stroke, note: Any, *, rolls: bool) -> Iterator[Stroke]:
        """The strokes of a note that would plainly be one; `rolls`: a drum's trill is a roll."""
        flags = int(note["flags"])
        second = self._second(plain.on)
        pair = self._pairs.get(plain.row)
        if flags & _GRACE or (pair is None and not flags & (ornaments.ANY | _ARPEGGIO)):
            yield plain
            return
        if flags & _ARPEGGIO:
            late = int(self._ranks.get(plain.row, 0) * ornaments.BROKEN * second)
            plain = replace(plain, on=plain.on + min(late, (plain.off - plain.on) // 2))
        length = int(note["duration"])
        if pair is not None:
            lead, whole, later = pair
            sounds = ornaments.alternating(plain.on - lead, whole, flags, second, later=later)
        elif self.blurred(note, plain.on):
            sounds = [(plain.on, plain.off, 0)]
        else:
            above, below = self._near.of(note)
            written = ornaments.Written(
                plain.on, plain.off, length, flags, above, below, second, rolls
            )
            sounds = ornaments.played(written)
        for number, (on, off, by) in enumerate(sounds):
            if 0 <= plain.pitch + by <= 127:
                yield replace(plain, on=on, off=off, pitch=plain.pitch + by, again=number > 0)


def _pairs(table: ScoreTable) -> dict[int, tuple[int, int, bool]]:
    """Row of a tremolo between notes -> ticks after its beginning, ticks of both, second of two."""
    by_line: dict[tuple[int, int, int], list[int]] = defaultdict(list)
    for row in np.flatnonzero(table.notes["flags"] & _PAIR):
        note = table.notes[row]
        by_line[int(note["part"]), int(note["line"]), int(note["voice"])].append(int(row))
    out: dict[int, tuple[int, int, bool]] = {}
    for rows in by_line.values():
        at: dict[int, list[int]] = defaultdict(list)
        for own in rows:
            at[int(table.notes["onset"][own])].append(own)
        onsets: list[int] = sorted(at)
        place = 0
        while place + 1 < len(onsets):
            first, second = onsets[place], onsets[place + 1]
            half = int(table.notes["duration"][at[first][0]])
            if first + half != second:
                place += 1
                continue
            whole = half + int(table.notes["duration"][at[second][0]])
            out |= {row: (0, whole, False) for row in at[first]}
            out |= {row: (half, whole, True) for row in at[second]}
            place += 2
    return out


def _ranks(table: ScoreTable) -> dict[int, int]:
    """Row of a broken chord -> how many of its notes are struck before it, from below."""
    chords: dict[tuple[int, int], list[int]] = defaultdict(list)
    for row in np.flatnonzero(table.notes["flags"] & _ARPEGGIO):
        note = table.notes[row]
        chords[int(note["part"]), int(note["onset"])].append(int(row))
    return {
        row: rank
        for rows in chords.values()
        for rank, row in enumerate(sorted(rows, key=lambda r: int(table.notes["pitch"][r])))
    }
