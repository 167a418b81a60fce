"""What stands in the file, before anything is made of it.

`scan` fills these; the other modules of the reader turn them into a table.
Times are ticks within the bar, because the start of a bar is known only when
every part has been seen.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

#: One row per `<note>` element, rests too, in document order.
RAW = np.dtype(
    [
        ("part", "<i2"),
        ("bar", "<i4"),
        ("pos", "<i8"),  # ticks from the start of the bar
        ("dur", "<i8"),  # ticks; 0 for graces
        ("staff", "i1"),
        ("voice", "<i2"),
        ("kind", "i1"),  # REST, PITCHED, UNPITCHED
        ("step", "i1"),
        ("alter", "i1"),
        ("octave", "i1"),
        ("cents", "<i2"),
        ("flags", "<u4"),  # NoteFlag
        ("articulation", "<u2"),
        ("technique", "<u2"),  # signs at the note itself (harmonic, stopped)
        ("tie", "i1"),  # TIE_START | TIE_STOP
        ("stem", "i1"),  # 1 up, -1 down, 0 none or unknown
        ("semitones", "i1"),  # the file's own transposition at this note
        ("steps", "i1"),
        ("clef", "i1"),  # index into Scan.clefs
        ("order", "i1"),  # graces: -n .. -1 before their main note
    ]
)

REST, PITCHED, UNPITCHED = 0, 1, 2
TIE_START, TIE_STOP = 1, 2


@dataclass(slots=True)
class PartHead:
    """A line of the part list."""

    id: str
    label: str = ""
    abbreviation: str = ""
    instruments: dict[str, str] = field(default_factory=dict)  # score-instrument id -> name
    sound: str = ""  # instrument-sound of the first instrument
    group: str = ""  # name of the innermost named group


@dataclass(slots=True)
class RawBar:
    """One `<measure>` of one part."""

    number: str
    text: str = ""
    implicit: bool = False
    length: int = 0  # ticks of what it holds, whole-bar rests apart
    rest_length: int = 0  # ticks of its longest whole-bar rest
    time: tuple[int, int] | None = None  # new metre; (0, 0) = senza misura
    multirest: int = 0
    forward: bool = False
    backward: int = 0  # how often it is played in all; 0 = no repeat sign
    ending: str = ""  # numbers of an ending that starts here
    ending_stop: bool = False
    final: bool = False  # light-heavy barline on the right
    jumps: dict[str, str] = field(default_factory=dict)  # sound attributes: dacapo, segno ...
    notes: int = 0


@dataclass(slots=True)
class RawMark:
    """A sign at a place; `end` is filled for spans once they close."""

    kind: str
    part: int
    staff: int
    bar: int
    pos: int
    text: str
    number: float = 0.0
    end_bar: int = -1
    end_pos: int = 0
    voice: int = 0


@dataclass(frozen=True, slots=True)
class TransposeChange:
    """A `<transpose>` of one part: from (bar, pos) on, for `staff` (0 = all)."""

    bar: int
    pos: int
    staff: int
    semitones: int
    steps: int
    given_steps: bool  # False where the file leaves out <diatonic>


@dataclass(slots=True)
class Scan:
    """Everything read from one file."""

    title: str = ""
    work: str = ""
    movement: str = ""
    heads: list[PartHead] = field(default_factory=list)
    bars: list[list[RawBar]] = field(default_factory=list)  # per part
    ids: list[str] = field(default_factory=list)
    rows: list[tuple[int, ...]] = field(default_factory=list)
    marks: list[RawMark] = field(default_factory=list)
    slurs: list[tuple[int, int, int]] = field(default_factory=list)  # part, first row, last row
    transposes: list[list[TransposeChange]] = field(default_factory=list)  # per part
    staves: list[int] = field(default_factory=list)  # per part
    clefs: list[str] = field(default_factory=lambda: [""])  # names met: "G2", "F4", "G2/-1"
    lyrics: list[bool] = field(default_factory=list)  # per part
    instrument_changes: list[list[tuple[int, str]]] = field(default_factory=list)
    rounded: set[tuple[int, int]] = field(default_factory=set)  # (part, bar)
    keys_only: bool = False  # the copy was made from a MIDI file
    hidden: set[tuple[int, int]] = field(default_factory=set)
    tuplets: set[tuple[int, int]] = field(default_factory=set)  # (part, bar): rounded by the file
    #: (part, bar, "start" or "stop", bars of the pattern) of bar-repeat signs
    repeats: list[tuple[int, int, str, int]] = field(default_factory=list)

    def notes(self) -> np.ndarray[tuple[int], np.dtype[np.void]]:
        """The rows as an array of `RAW`."""
        return np.array(self.rows, dtype=RAW) if self.rows else np.zeros(0, dtype=RAW)
