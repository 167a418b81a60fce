"""The shapes every part of the engine relies on.

Conventions
-----------
Time is counted in ticks, `TICKS` a quarter note, from the start of the file,
in printed order: repeats live in the bar map alone. Pitches are sounding MIDI
numbers (60 = C4 = middle C) unless a name begins with ``w`` (written). Parts,
bars and lines are 0-based indices in document order; nothing shown to a person
uses an index, nothing stored uses a printed label.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntFlag
from functools import cached_property
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

#: 2^5 3^2 5 7: every usual tuplet divides it.
TICKS = 10_080

#: One row per sounding note per line. Ties are joined into one row.
NOTE = np.dtype(
    [
        ("part", "<i2"),
        ("staff", "i1"),  # 1-based within the part
        ("voice", "<i2"),
        ("line", "<i2"),  # index into ScoreTable.lines
        ("players", "<u4"),  # bit 0 = player 1; 0 = whole section; UNKNOWN_PLAYERS
        ("bar", "<i4"),
        ("onset", "<i8"),  # ticks from the start of the file
        ("duration", "<i8"),  # ticks, ties joined; 0 for graces
        ("pitch", "<i2"),  # sounding MIDI, -1 unpitched
        ("cents", "<i2"),  # microtonal remainder
        ("step", "i1"),  # sounding: 0 = C .. 6 = B
        ("alter", "i1"),
        ("octave", "i1"),
        ("wstep", "i1"),  # written
        ("walter", "i1"),
        ("woctave", "i1"),
        ("flags", "<u4"),  # NoteFlag
        ("dynamic", "i1"),  # 0 unknown, 1 ppp .. 8 fff
        ("articulation", "<u2"),  # Articulation
        ("technique", "<u2"),  # Technique in force
        ("order", "i1"),  # graces: order before their main note, else 0
        ("src", "<i4"),  # index into ScoreTable.ids
    ]
)
NoteArray = NDArray[np.void]

UNKNOWN_PLAYERS = 1 << 31

Family = Literal[
    "woodwind", "brass", "percussion", "keyboard", "plucked", "voice", "strings", "unknown"
]


class NoteFlag(IntFlag):
    """What is unusual about a row."""

    GRACE = 1
    CUE = 2  # takes part in no analysis
    TREMOLO = 4  # single-note tremolo
    TREMOLO_PAIR = 8  # half of a two-note tremolo
    DIVISI = 16
    CHORD = 32  # one of several notes of one line at one onset
    A2 = 64  # both players of the staff play it
    EDITORIAL = 128  # an assumption of ours ("col basso"), not printed
    ROUNDED = 256  # time did not fit the tick grid
    UNPITCHED = 512
    TRILL = 1024
    TURN = 2048
    INVERTED_TURN = 4096
    MORDENT = 8192  # with the note below
    INVERTED_MORDENT = 16384  # with the note above
    ARPEGGIO = 32768
    #: strokes of a tremolo, 0 (not said) to 7, are bits 16 to 18: `strokes`


_STROKES = 16


def with_strokes(number: int) -> int:
    """Bits of `NoteFlag` for the strokes of a tremolo."""
    return min(max(number, 0), 7) << _STROKES


def strokes(flags: int) -> int:
    """Strokes of a tremolo; 0 = not said.

    >>> strokes(int(NoteFlag.TREMOLO) | with_strokes(3))
    3
    """
    return flags >> _STROKES & 7


class Articulation(IntFlag):
    STACCATO = 1
    ACCENT = 2
    TENUTO = 4
    MARCATO = 8
    STACCATISSIMO = 16
    FERMATA = 32
    SLURRED = 64  # inside a slur, not its last note


class Technique(IntFlag):
    """In force at the note, from the last word of that part."""

    PIZZICATO = 1
    CON_SORDINO = 2
    COL_LEGNO = 4
    SUL_PONTICELLO = 8
    HARMONIC = 16
    STOPPED = 32
    SOLO = 64
    SOLI = 128


@dataclass(frozen=True, slots=True)
class Doubt:
    """Why the tutor should look at a part before anything is said about it."""

    about: Literal["name", "pitch", "players"]
    text: str


@dataclass(frozen=True, slots=True)
class PartReading:
    """What a part is taken for, from a bar on.

    A part has one reading at bar 0 and another wherever its instrument, crook
    or transposition changes ("muta in A").
    """

    id: str  # the part's id in the file, e.g. "P3"
    index: int
    label: str  # as printed
    instrument: str  # key of engine.instruments, or "unknown"
    family: Family
    transposition: int = 0  # semitones, written to sounding
    diatonic: int = 0  # the same in steps
    crook: str | None = None  # "Eb", "C basso", ...
    players: tuple[int, ...] = ()  # numbered players of this staff; () = a section
    octave_switch: bool = False  # read one octave away from what the file says
    old_bass_clef: bool = False  # bass-clef notes written an octave too low
    from_bar: int = 0
    doubt: Doubt | None = None


@dataclass(frozen=True, slots=True)
class Movement:
    index: int  # 0-based in the file
    title: str
    first_bar: int
    last_bar: int  # inclusive


@dataclass(frozen=True, slots=True)
class Bar:
    index: int
    label: str  # as printed; "0" for a pickup, "24a" style endings keep the file's text
    nth: int  # which of the bars with this label in the movement, from 1
    start: int  # ticks
    length: int  # ticks
    beats: int  # of the metre in force, e.g. 4 of 4/4; 0 = senza misura
    beat_type: int
    movement: int = 0
    passes: tuple[int, ...] = (1,)
    ending: str = ""  # "1", "2", "1, 2" when under an ending bracket
    implicit: bool = False  # carries no printed number

    @property
    def end(self) -> int:
        return self.start + self.length

    @property
    def beat_ticks(self) -> int:
        """Ticks of one beat in the printed denominator."""
        return 4 * TICKS // (self.beat_type or 4)


@dataclass(frozen=True, slots=True)
class Line:
    """What one reads as a single line: a part and a set of its players."""

    index: int
    part: int
    players: int  # bit mask; 0 = the section
    name: str  # "Corno 1 in Mi", "Violoncello", "Contrabbasso (Vc. e Cb.)"
    instrument: str
    family: Family


MarkKind = Literal[
    "dynamic", "wedge", "words", "tempo", "rehearsal", "clef", "key", "time", "slur", "players"
]


@dataclass(frozen=True, slots=True)
class Mark:
    """A sign of the page that is no note. `end` = `onset` for points."""

    kind: MarkKind
    part: int  # -1: for all
    staff: int
    bar: int
    onset: int
    end: int
    text: str  # "p", "crescendo", "pizz.", "G2", "-3 major", "3/4", ...
    number: float = 0.0  # tempo: quarters a minute; dynamic: 1..8; key: fifths


@dataclass(frozen=True, slots=True)
class Notice:
    """A warning for the tutor about the file."""

    code: str
    text: str
    bars: tuple[int, ...] = ()  # bar indices
    part: str | None = None


@dataclass(frozen=True)
class ScoreTable:
    """One file as a table. Immutable; analyses share its cached views."""

    title: str
    movements: tuple[Movement, ...]
    parts: tuple[PartReading, ...]  # by (index, from_bar)
    bars: tuple[Bar, ...]
    lines: tuple[Line, ...]
    notes: NoteArray  # NOTE, sorted by (onset, part, staff, voice, order)
    ids: tuple[str, ...]  # note element ids, rests included
    continuations: NDArray[np.int32]  # (n, 2): row of `notes`, src of a tied-on segment
    marks: tuple[Mark, ...]
    order: tuple[tuple[int, int], ...]  # as played: (bar index, pass)
    warnings: tuple[Notice, ...] = ()
    sha256: str = ""  # of the canonical copy

    @cached_property
    def part_count(self) -> int:
        return 1 + max((p.index for p in self.parts), default=-1)

    @cached_property
    def first_readings(self) -> tuple[PartReading, ...]:
        """The reading at the start, one per part, by index."""
        seen: dict[int, PartReading] = {}
        for reading in self.parts:
            seen.setdefault(reading.index, reading)
        return tuple(seen[i] for i in sorted(seen))

    def reading_at(self, part: int, bar: int) -> PartReading:
        """The reading of `part` in force in `bar`."""
        best = self.first_readings[part]
        for reading in self.parts:
            if reading.index == part and reading.from_bar <= bar:
                best = reading
        return best

    @cached_property
    def sounding(self) -> NoteArray:
        """Rows that analyses may use: no cues, pitched or not, graces included."""
        kept: NoteArray = self.notes[(self.notes["flags"] & NoteFlag.CUE) == 0]
        return kept

    @cached_property
    def by_line(self) -> tuple[NoteArray, ...]:
        """Pitched, ungraced, uncued rows of each line, by onset then pitch."""
        rows = self.notes
        keep = (rows["flags"] & (NoteFlag.CUE | NoteFlag.GRACE)) == 0
        rows = rows[keep & (rows["pitch"] >= 0)]
        rows = rows[np.lexsort((rows["pitch"], rows["onset"]))]
        return tuple(rows[rows["line"] == line.index] for line in self.lines)

    def bar_starts(self) -> NDArray[np.int64]:
        """Tick at which each bar begins; one array for all who ask, not to be written to."""
        return self._bar_starts

    @cached_property
    def _bar_starts(self) -> NDArray[np.int64]:
        starts = np.array([b.start for b in self.bars], dtype=np.int64)
        starts.setflags(write=False)
        return starts

    def note_ids(self, rows: NoteArray) -> list[str]:
        """Ids of the printed notes behind `rows`, in order, without repeats."""
        return list(dict.fromkeys(map(self.ids.__getitem__, rows["src"].tolist())))


@dataclass(frozen=True, slots=True)
class Evidence:
    """Notes, or rests, that prove something. Exactly one half is filled."""

    ids: tuple[str, ...] = ()
    part: str | None = None  # part id, for rests
    bars: tuple[int, int] | None = None  # bar indices, inclusive, for rests

    @property
    def rests(self) -> bool:
        return not self.ids


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence as template id and parameters; rendered late (engine.sentences)."""

    template: str
    params: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Finding:
    """One computed fact about a span of bars."""

    kind: str
    movement: int  # 0-based
    first: int  # bar index
    last: int  # inclusive
    start: int  # ticks
    end: int  # ticks, exclusive
    lines: tuple[int, ...]
    value: Mapping[str, Any]  # a claim without id, movement, bars
    confidence: float
    evidence: tuple[Evidence, ...]
    sentence: Sentence
