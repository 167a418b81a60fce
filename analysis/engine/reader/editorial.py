"""What the page leaves unwritten: "col Basso", bar-repeat signs. Rows of ours are marked so.

Nothing is copied over notes that stand in the part itself. Every copied row
carries the flag EDITORIAL and points to the printed note it comes from.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.engine.instruments import parse_label
from analysis.engine.model import Bar, Line, Mark, NoteFlag, Notice, PartReading
from analysis.engine.reader import pitch
from analysis.engine.reader.player_words import PlayerWord, read_words

_BASS = ("basso", "bassi", "b", "basse")
#: Whose written notes "the bass" are, best first.
_BASS_PARTS = ("cello-and-bass", "cello", "double-bass", "violone", "continuo")
_EDITORIAL = int(NoteFlag.EDITORIAL)


@dataclass(frozen=True, slots=True)
class BarRepeat:
    """Bars of one part written as a sign: the `size` bars before them again."""

    part: int
    first: int
    last: int
    size: int


class Editor:
    """Adds rows to a table that is otherwise ready.

    Parameters
    ----------
    notes : array of NOTE
    lines, readings, bars
        Of the table.
    """

    def __init__(
        self,
        notes: NDArray[np.void],
        lines: Sequence[Line],
        readings: Sequence[PartReading],
        bars: Sequence[Bar],
    ) -> None:
        self.notes = notes
        self.lines = lines
        self.bars = bars
        self.first: dict[int, PartReading] = {}
        for reading in readings:
            self.first.setdefault(reading.index, reading)
        self.added: list[NDArray[np.void]] = []
        self.notices: list[Notice] = []

    def result(self) -> tuple[NDArray[np.void], list[Notice]]:
        """All rows in the table's order; the notices about them."""
        if not self.added:
            return self.notes, self.notices
        notes = np.concatenate([self.notes, *self.added])
        keys = ("line", "order", "voice", "staff", "part", "onset")
        return notes[np.lexsort(tuple(notes[k] for k in keys))], self.notices

    # -- bar-repeat signs -------------------------------------------------------

    def repeat_bars(self, repeats: Sequence[BarRepeat]) -> None:
        """Fill bars written as a repeat sign from the bars before them."""
        for repeat in repeats:
            size = max(repeat.size, 1)
            mine = self.notes[self.notes["part"] == repeat.part]
            filled: list[int] = []
            for bar in range(max(repeat.first, size), repeat.last + 1):
                if (mine["bar"] == bar).any():
                    continue
                source = repeat.first - size + (bar - repeat.first) % size
                if self._copy(mine[mine["bar"] == source], source, bar):
                    filled.append(bar)
            if filled:
                reading = self.first[repeat.part]
                self.notices.append(
                    Notice(
                        "bar-repeat",
                        f"In {_name(reading)} these bars are written as repeat signs; they are"
                        " read as the bars before them.",
                        tuple(filled),
                        reading.id,
                    )
                )

    def _copy(self, rows: NDArray[np.void], source: int, bar: int) -> bool:
        if not len(rows) or source < 0:
            return False
        copied = rows.copy()
        copied["onset"] += self.bars[bar].start - self.bars[source].start
        copied["bar"] = bar
        copied["flags"] |= _EDITORIAL
        self.added.append(copied[copied["onset"] < self.bars[bar].end])
        return True

    # -- col Basso ----------------------------------------------------------------

    def follow_words(self, marks: Sequence[Mark]) -> None:
        """Expand "col Basso", "col Vl. I"; tell of "come sopra" over empty bars."""
        for mark in marks:
            if mark.kind != "words":
                continue
            word = read_words(mark.text)
            if word is not None and word.sign in ("col", "copy"):
                self._follow(mark, word, marks)

    def _follow(self, mark: Mark, word: PlayerWord, marks: Sequence[Mark]) -> None:
        reading = self.first[mark.part]
        end = self._until(mark, marks)
        first, last = mark.bar, self._bar_before(end)
        if end <= mark.onset:
            return  # the notes are written out
        bars = tuple(range(first, last + 1))
        if not (self.notes["part"] == mark.part).any() and word.sign == "copy":
            return
        target = self._target(word.other, mark.part) if word.sign == "col" else None
        if target is None:
            self.notices.append(
                Notice(
                    "copy-not-expanded",
                    f"“{mark.text}” in {_name(reading)} leaves notes unwritten that could not be"
                    " filled in; the part is read as resting there.",
                    bars,
                    reading.id,
                )
            )
            return
        line, leader = target
        rows = self.notes[self.notes["line"] == line]
        rows = rows[(rows["onset"] >= mark.onset) & (rows["onset"] < end)]
        for own in (n for n in self.lines if n.part == mark.part and not n.name.endswith("div. 2")):
            self.added.append(self._as_own(rows, reading, own))
        self.notices.append(
            Notice(
                "col-part",
                f"“{mark.text}”: {_name(reading)} is read as playing what {_name(leader)} plays"
                " here, which is an assumption.",
                bars,
                reading.id,
            )
        )

    def _until(self, mark: Mark, marks: Sequence[Mark]) -> int:
        """Where the instruction ends: the part's next own note, its next word, the movement."""
        mine = self.notes["onset"][self.notes["part"] == mark.part]
        movement = self.bars[mark.bar].movement
        limit = max(b.end for b in self.bars if b.movement == movement)
        later = mine[mine >= mark.onset]
        if len(later):
            limit = min(limit, int(later.min()))
        for other in marks:
            if other.part == mark.part and other.kind == "words" and other.onset > mark.onset:
                word = read_words(other.text)
                if word is not None and word.sign not in ("copy",):
                    return min(limit, other.onset)
        return limit

    def _bar_before(self, tick: int) -> int:
        starts = [b.start for b in self.bars]
        return max(int(np.searchsorted(starts, tick, side="left")) - 1, 0)

    def _target(self, other: str, part: int) -> tuple[int, PartReading] | None:
        """The line and part that "Basso", "vl. i" name; None if there is none or several."""
        words = other.replace(".", " ").split()
        if words and words[0] in _BASS:
            for key in _BASS_PARTS:
                for reading in self.first.values():
                    if reading.instrument == key and reading.index != part:
                        return self._first_line(reading.index), reading
            return None
        parsed = parse_label(other)
        found = [
            r
            for r in self.first.values()
            if r.index != part and r.instrument in parsed.candidates[:1]
        ]
        numbers = parsed.players.numbers
        if numbers and len(found) > 1:
            same = [r for r in found if parse_label(r.label).players.numbers == numbers]
            found = same or found
        return (self._first_line(found[0].index), found[0]) if len(found) == 1 else None

    def _first_line(self, part: int) -> int:
        return next(line.index for line in self.lines if line.part == part)

    def _as_own(self, rows: NDArray[np.void], reading: PartReading, line: Line) -> NDArray[np.void]:
        """Rows of another part as this one plays them.

        Octave instruments read the other's written notes; others sound with it.
        """
        out = rows.copy()
        out["part"], out["line"], out["players"] = reading.index, line.index, line.players
        out["staff"] = out["voice"] = 1
        out["flags"] = (out["flags"].astype(np.int64) & ~int(NoteFlag.A2)) | _EDITORIAL
        if reading.transposition % 12 == 0:
            octaves = reading.transposition // 12
            out["step"], out["alter"] = out["wstep"], out["walter"]
            out["octave"] = out["woctave"] + octaves
            pitched = out["pitch"] >= 0
            sounding = pitch.midi(out["step"], out["alter"], out["octave"])
            out["pitch"] = np.where(pitched, sounding, -1)
        return out


def _name(reading: PartReading) -> str:
    return reading.label or reading.id
