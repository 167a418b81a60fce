"""Lines: what one reads as a single line, and which notes belong to it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.engine.instruments import BASS_OF_SHARED, instrument
from analysis.engine.model import Line, Mark, NoteFlag, Notice, PartReading
from analysis.engine.reader.low_strings import LowStrings
from analysis.engine.reader.player_words import PlayerWord, read_words
from analysis.engine.reader.players import SharedStaff
from analysis.engine.reader.raw import REST
from analysis.engine.reader.sections import Section
from analysis.engine.reader.shares import Shares, bit
from analysis.engine.reader.staff_groups import groups_of

_SHARED = ("woodwind", "brass")
_SECTIONS = ("strings", "voice")
SHARED_LOW = "cello-and-bass"
Words = list[tuple[int, PlayerWord]]


@dataclass(slots=True)
class Assigned:
    """Rows of the table to be: one entry for each printed note and line."""

    lines: list[Line]
    row: NDArray[np.int64]  # raw rows
    line: NDArray[np.int64]
    players: NDArray[np.int64]
    flags: NDArray[np.int64]  # replaces CHORD, adds A2 and DIVISI
    octave: NDArray[np.int64]
    notices: list[Notice]
    marks: list[Mark]  # of kind "players"


def one_per_part(raw: NDArray[np.void], labels: Sequence[str], ids: Sequence[str]) -> Assigned:
    """One line a part, no words read: for comparing with other readers."""
    lines = [Line(i, i, 0, label or ids[i], "unknown", "unknown") for i, label in enumerate(labels)]
    rows = np.arange(len(raw), dtype=np.int64)
    zero = np.zeros(len(raw), dtype=np.int64)
    chord = raw["flags"].astype(np.int64) & NoteFlag.CHORD
    return Assigned(lines, rows, raw["part"].astype(np.int64), zero, chord, zero, [], [])


def assign(
    raw: NDArray[np.void],
    onset: NDArray[np.int64],
    pitch: NDArray[np.int64],
    readings: Sequence[PartReading],
    marks: Sequence[Mark],
    staves: Sequence[int],
) -> Assigned:
    """Give every printed note to the lines that play it.

    Parameters
    ----------
    raw : array of RAW, shape (n,)
    onset, pitch : array of int, shape (n,)
        Ticks from the start of the file; sounding MIDI.
    readings : sequence of PartReading
        The first one of a part decides who reads its staff.
    marks : sequence of Mark
        Of the whole file; only words are looked at.
    staves : sequence of int
        Number of staves by part.
    """
    first: dict[int, PartReading] = {}
    for reading in readings:
        first.setdefault(reading.index, reading)
    build = _Build(raw, onset, pitch)
    words: dict[int, list[Mark]] = {}
    for mark in marks:
        if mark.kind == "words":
            words.setdefault(mark.part, []).append(mark)
    for part in sorted(first):
        build.part(first[part], staves[part], words.get(part, []))
    return build.finish()


class _Build:
    def __init__(
        self, raw: NDArray[np.void], onset: NDArray[np.int64], pitch: NDArray[np.int64]
    ) -> None:
        self.raw, self.onset, self.pitch = raw, onset, pitch
        self.lines: list[Line] = []
        self.chunks: list[tuple[NDArray[np.int64], ...]] = []
        self.notices: list[Notice] = []
        self.marks: list[Mark] = []

    def part(self, reading: PartReading, staves: int, words: Sequence[Mark]) -> None:
        rows = np.flatnonzero(self.raw["part"] == reading.index)
        low = reading.instrument == SHARED_LOW
        if low:
            self._low_strings(reading, rows, words)
        elif reading.family in _SHARED and len(reading.players) > 1:
            self._shared(reading, rows, staves, words)
        elif reading.family in _SECTIONS and not self._plain(rows, staves, words):
            self._section(reading, rows, staves, words)
        else:
            self._single(reading, rows)

    def finish(self) -> Assigned:
        empty = np.zeros(0, dtype=np.int64)
        row, line, players, flags, octave = (
            np.concatenate([empty, *(chunk[i] for chunk in self.chunks)]) for i in range(5)
        )
        return Assigned(self.lines, row, line, players, flags, octave, self.notices, self.marks)

    # -- kinds of parts -------------------------------------------------------

    def _single(self, reading: PartReading, rows: NDArray[np.int64]) -> None:
        mask = bit(reading.players[0]) if len(reading.players) == 1 else 0
        if len(reading.players) > 1:
            mask = sum(bit(p) for p in reading.players)
        line = self._line(reading, mask, reading.label or reading.id)
        zero = np.zeros(len(rows), dtype=np.int64)
        chord = self.raw["flags"][rows].astype(np.int64) & NoteFlag.CHORD
        self.chunks.append((rows, zero + line, zero + mask, chord, zero))

    def _plain(self, rows: NDArray[np.int64], staves: int, words: Sequence[Mark]) -> bool:
        """A section that never divides: one voice, and no chord or no word about it."""
        mine = self.raw[rows]
        if staves > 1 or len(np.unique(mine["voice"])) > 1:
            return False
        if any(read_words(m.text) is not None for m in words):
            return False
        return not (mine["flags"] & NoteFlag.CHORD).any()

    def _shared(
        self, reading: PartReading, rows: NDArray[np.int64], staves: int, words: Sequence[Mark]
    ) -> None:
        players = reading.players
        base = len(self.lines)
        for player in players:
            self._line(reading, bit(player), _player_name(reading, player))
        out = Shares()
        split = staves > 1 and len(players) % staves == 0
        for staff in sorted(set(self.raw["staff"][rows].tolist())):
            mine = [int(r) for r in rows[self.raw["staff"][rows] == staff]]
            readers: tuple[int, ...] = players
            if split:
                each = len(players) // staves
                readers = players[(staff - 1) * each : staff * each] or players[-each:]
            lines = [base + players.index(p) for p in readers]
            self._read(SharedStaff(readers, lines, out), mine, words, staff if split else 0)
        self._keep(out)
        self._tell(reading, out)

    def _section(
        self, reading: PartReading, rows: NDArray[np.int64], staves: int, words: Sequence[Mark]
    ) -> None:
        out = Shares()
        voice = reading.family == "voice"
        for staff in sorted(set(self.raw["staff"][rows].tolist())) or [1]:
            mine = [int(r) for r in rows[self.raw["staff"][rows] == staff]]
            name = reading.label or reading.id
            if staff > 1:
                name = f"{name}, staff {staff}"
            first = self._line(reading, 0, name)
            section = Section(first, always_divides=voice, out=out)
            self._read(section, mine, words, staff if staves > 1 else 0)
            for half in range(1, section.halves):
                self._line(reading, bit(half + 1), f"{name}, div. {half + 1}")
        self._keep(out)
        self._tell(reading, out)

    def _low_strings(
        self, reading: PartReading, rows: NDArray[np.int64], words: Sequence[Mark]
    ) -> None:
        base = len(self.lines)
        for key in ("cello", BASS_OF_SHARED[0]):
            record = instrument(key)
            name = f"{record.name.capitalize()} ({reading.label})"
            self.lines.append(Line(len(self.lines), reading.index, 0, name, key, record.family))
        out = Shares()
        mine = [int(r) for r in rows]
        self._read(LowStrings(base, out), mine, words, 0, low=True)
        self._keep(out)
        self._tell(reading, out)

    # -- helpers --------------------------------------------------------------

    def _line(self, reading: PartReading, players: int, name: str) -> int:
        index = len(self.lines)
        self.lines.append(
            Line(index, reading.index, players, name, reading.instrument, reading.family)
        )
        return index

    def _read(
        self,
        reader: SharedStaff | Section | LowStrings,
        rows: Sequence[int],
        words: Sequence[Mark],
        staff: int,
        *,
        low: bool = False,
    ) -> None:
        said: Words = []
        for mark in words:
            if staff and mark.staff != staff:
                continue
            word = read_words(mark.text, low_strings=low)
            if word is not None:
                said.append((mark.onset, word))
                self.marks.append(
                    Mark(
                        "players", mark.part, mark.staff, mark.bar, mark.onset, mark.end, mark.text
                    )
                )
        said.sort(key=lambda w: w[0])
        reader.read(groups_of(self.raw, rows, self.onset, self.pitch), said)
        mine = self.raw[list(rows)]
        hidden = (mine["flags"] & NoteFlag.CUE != 0) & (mine["kind"] != REST)
        if hidden.any():
            # Cues stay rows of the part's first line; no analysis uses them.
            line = reader.out.rows[0].line if reader.out.rows else len(self.lines) - 1
            for row in np.array(rows)[hidden].tolist():
                reader.out.add(row, line, 0)

    def _keep(self, out: Shares) -> None:
        columns = np.array(
            [(s.row, s.line, s.players, s.flags, s.octave) for s in out.rows], dtype=np.int64
        ).reshape(-1, 5)
        self.chunks.append(tuple(columns.T))

    def _tell(self, reading: PartReading, out: Shares) -> None:
        label = reading.label or reading.id
        if out.unknown:
            self.notices.append(
                Notice(
                    "players-unknown",
                    f"In these bars {label} has one line for several players and no word says"
                    " who plays; it is read as the first player's.",
                    tuple(sorted(out.unknown)),
                    reading.id,
                )
            )
        if out.solo:
            self.notices.append(
                Notice(
                    "solo-players",
                    f"“Solo” in {label} may mean one player or simply that the line stands out.",
                    tuple(sorted(out.solo)),
                    reading.id,
                )
            )
        if out.divided:
            self.notices.append(
                Notice(
                    "divided-without-word",
                    f"In these bars {label} has two voices without “div.”; they are read as two"
                    " lines.",
                    tuple(sorted(out.divided)),
                    reading.id,
                )
            )


def _player_name(reading: PartReading, player: int) -> str:
    """ "Horn 1 in Eb": a player of a shared staff by the trade's English name."""
    if reading.instrument == "unknown":
        return f"{reading.label} {player}"
    name = instrument(reading.instrument).name.capitalize()
    return f"{name} {player}" + (f" in {reading.crook}" if reading.crook else "")
