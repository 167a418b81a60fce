"""Changes of a note table that leave the music as it is, or move it as a whole.

Each takes a `ScoreTable` and gives another. Line names, bar indices and note
ids stay, so that findings can be compared by them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from analysis.engine.model import (
    Line,
    NoteArray,
    PartReading,
    ScoreTable,
)

_NATURAL = np.array([0, 2, 4, 5, 7, 9, 11])


def reordered(t: ScoreTable, order: Sequence[int]) -> ScoreTable:
    """The parts from top to bottom as `order` says: old indices."""
    place = {old: new for new, old in enumerate(order)}
    lines = sorted(t.lines, key=lambda line: (place[line.part], line.index))
    return _arranged(t, place, lines, list(t.parts), t.notes)


def with_a_silent_part(t: ScoreTable, at: int) -> ScoreTable:
    """A trombone that rests all the time, as part number `at`."""
    place = {old: old + (old >= at) for old in range(t.part_count)}
    silent = PartReading("P-silent", -1, "Trombone", "trombone", "brass")
    place[-1] = at
    added = Line(len(t.lines), -1, 0, "Trombone", "trombone", "brass")
    lines = sorted([*t.lines, added], key=lambda line: (place[line.part], line.index))
    return _arranged(t, place, lines, [*t.parts, silent], t.notes)


def together(t: ScoreTable, pairs: Sequence[tuple[int, int]]) -> ScoreTable:
    """Each pair of parts, (first, second), on the staff of the first as its two players."""
    gone = {second: first for first, second in pairs}
    player = {part: n for pair in pairs for n, part in enumerate(pair, 1)}
    kept = [p for p in range(t.part_count) if p not in gone]
    place = {old: kept.index(gone.get(old, old)) for old in range(t.part_count)}
    parts = [
        replace(r, players=(1, 2)) if r.index in player else r
        for r in t.parts
        if r.index not in gone
    ]
    notes = t.notes.copy()
    for part, number in player.items():
        rows = notes["part"] == part
        notes["players"][rows] = 1 << (number - 1)
        notes["voice"][rows] = number
    lines = [
        replace(line, players=1 << (player[line.part] - 1)) if line.part in player else line
        for line in t.lines
    ]
    return _arranged(t, place, lines, parts, notes)


def transposed(t: ScoreTable, semitones: int, steps: int, fifths: int) -> ScoreTable:
    """All so much higher, written and sounding, with key signatures `fifths` further round."""
    notes = t.notes.copy()
    pitched = notes["pitch"] >= 0
    for prefix in ("", "w"):
        step, alter, octave = (notes[prefix + n][pitched].astype(int) for n in _SPELLING)
        number = 12 * (octave + 1) + _NATURAL[step] + alter + semitones
        degree = 7 * octave + step + steps
        notes[prefix + "step"][pitched] = degree % 7
        notes[prefix + "octave"][pitched] = degree // 7
        natural = 12 * (degree // 7 + 1) + _NATURAL[degree % 7]
        notes[prefix + "alter"][pitched] = number - natural
    notes["pitch"][pitched] += semitones
    marks = tuple(_key_moved(m, fifths) if m.kind == "key" else m for m in t.marks)
    return replace(t, notes=notes, marks=marks)


_SPELLING = ("step", "alter", "octave")


def _key_moved(mark, fifths):
    number = mark.number + fifths
    words = mark.text.split()
    return replace(mark, number=number, text=" ".join([f"{number:g}", *words[1:]]))


def _arranged(
    t: ScoreTable,
    place: dict[int, int],
    lines: list[Line],
    parts: list[PartReading],
    notes: NoteArray,
) -> ScoreTable:
    to_line = np.zeros(1 + max(line.index for line in lines), dtype=np.int16)
    for new, line in enumerate(lines):
        to_line[line.index] = new
    moved = notes.copy()
    moved["part"] = [place[int(p)] for p in notes["part"]]
    moved["line"] = to_line[notes["line"]]
    order = _printed(moved)
    return replace(
        t,
        parts=tuple(
            sorted(
                (replace(p, index=place[p.index]) for p in parts),
                key=lambda p: (p.index, p.from_bar),
            )
        ),
        lines=tuple(replace(x, index=i, part=place[x.part]) for i, x in enumerate(lines)),
        notes=moved[order],
        continuations=_moved_rows(t, order),
        marks=tuple(replace(m, part=place[m.part]) if m.part >= 0 else m for m in t.marks),
    )


def _printed(notes: NoteArray) -> NoteArray:
    """The order of a table's rows."""
    keys = (notes[k] for k in ("order", "voice", "staff", "part", "onset"))
    return np.lexsort(tuple(keys))


def _moved_rows(t: ScoreTable, order: NoteArray) -> NoteArray:
    if not len(t.continuations):
        return t.continuations
    where = np.empty(len(order), dtype=np.int32)
    where[order] = np.arange(len(order), dtype=np.int32)
    rows = t.continuations.copy()
    rows[:, 0] = where[rows[:, 0]]
    return rows
