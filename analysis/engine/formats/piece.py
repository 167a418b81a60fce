"""A score as the readers of other formats tell it, before it is written as MusicXML.

Times are quarters, as fractions, from the start of the bar. Pitches are
*written* pitches (a clarinet's as on its page; under an octave line as they
sound), as MusicXML has them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

#: Quarters of each printed length.
LENGTHS: dict[str, Fraction] = {
    "long": Fraction(16),
    "breve": Fraction(8),
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "16th": Fraction(1, 4),
    "32nd": Fraction(1, 8),
    "64th": Fraction(1, 16),
    "128th": Fraction(1, 32),
    "256th": Fraction(1, 64),
    "512th": Fraction(1, 128),
    "1024th": Fraction(1, 256),
}


@dataclass(slots=True)
class Head:
    """One note head. `accidental` is the printed sign, if one is known to be printed."""

    step: str
    alter: float
    octave: int
    tie_start: bool = False
    tie_stop: bool = False
    accidental: str = ""


@dataclass(slots=True)
class Event:
    """A note, chord or rest (no heads) of one voice."""

    onset: Fraction
    length: Fraction
    heads: list[Head] = field(default_factory=list)
    voice: int = 1
    staff: int = 1
    type: str = ""  # a key of LENGTHS, or nothing where none is known
    dots: int = 0
    tuplet: tuple[int, int] | None = None  # actual in the time of normal
    tuplet_marks: list[str] = field(default_factory=list)  # start, stop
    grace: str = ""  # plain, slashed
    cue: bool = False
    whole_bar: bool = False
    hidden: bool = False
    unpitched: bool = False
    beam: str = ""
    articulations: list[str] = field(default_factory=list)
    ornaments: list[str] = field(default_factory=list)
    technical: list[str] = field(default_factory=list)
    fermata: bool = False
    arpeggio: bool = False
    tremolo: int = 0
    tremolo_kind: str = "single"
    slurs: list[tuple[int, str]] = field(default_factory=list)
    lyrics: list[tuple[int, str, str]] = field(default_factory=list)  # verse, syllabic, text


@dataclass(slots=True)
class Mark:
    """A sign over or under a staff.

    `kind`: dynamics, words, tempo, wedge, octave-shift, pedal, rehearsal.
    `value`: its text, or its state (start/stop ...); `number` tells nested
    ones apart; `tempo` in quarters a minute.
    """

    onset: Fraction
    kind: str
    value: str = ""
    staff: int = 1
    above: bool | None = None
    number: int = 1
    size: int = 8  # octave-shift
    tempo: float | None = None
    beat: tuple[str, int, str] | None = None  # printed: note value, dots, per minute


@dataclass(frozen=True, slots=True)
class Clef:
    sign: str  # G, F, C, percussion, TAB
    line: int = 0
    octave: int = 0


@dataclass(slots=True)
class Change:
    """What holds from `onset` on; None = as before."""

    onset: Fraction = Fraction(0)
    staff: int = 1
    clef: Clef | None = None
    fifths: int | None = None
    mode: str = ""
    time: tuple[str, int] | None = None  # beats as printed (3+2), beat type
    time_symbol: str = ""
    unmetered: bool = False
    transpose: tuple[int, int] | None = None  # steps, semitones from written to sounding
    lines: int | None = None


@dataclass(slots=True)
class PartBar:
    events: list[Event] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    changes: list[Change] = field(default_factory=list)


@dataclass(slots=True)
class Frame:
    """What all parts share in a bar."""

    label: str
    implicit: bool = False
    left: str = ""  # bar style
    right: str = ""
    repeat_start: bool = False
    repeat_end: bool = False
    ending_start: str = ""  # numbers, e.g. "1, 2"
    ending_stop: str = ""
    ending_open: bool = False


@dataclass(slots=True)
class Part:
    name: str
    abbreviation: str = ""
    staves: int = 1
    program: int | None = None  # General MIDI, from 0
    drums: bool = False
    bars: list[PartBar] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Group:
    """Parts `first` to `last` under one bracket."""

    first: int
    last: int
    symbol: str = ""
    name: str = ""


@dataclass(slots=True)
class Piece:
    title: str = ""
    composer: str = ""
    parts: list[Part] = field(default_factory=list)
    frames: list[Frame] = field(default_factory=list)
    groups: list[Group] = field(default_factory=list)
    keys_only: bool = False  # the source knew keys of a keyboard only, no page


def named_length(length: Fraction) -> tuple[str, int] | None:
    """Printed value and dots of a length without tuplets; None if there is none."""
    for dots in range(4):
        factor = 2 - Fraction(1, 2**dots)
        for name, quarters in LENGTHS.items():
            if quarters * factor == length:
                return name, dots
    return None
