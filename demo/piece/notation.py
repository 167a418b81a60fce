"""A tiny notation language: music is written down as short strings, bar by bar.

    score.write("V1", "1", "f#5:4.( e5:8 d5:4') a4:8( d5) | g5:4. ...")

A token is a pitch, a chord or a rest, then a length, then marks:

* pitch `c4` (middle C), `f#5`, `bb3`, `c##5`; chord `[d4,a4]`; rest `r`; whole-bar rest `R`
* length `:4` a crotchet, `:8.` dotted, `:16`; it holds for the following tokens until changed
* marks `(` slur begins, `)` slur ends, `~` tie to the next note, `'` staccato, `>` accent,
  `-` tenuto, `@` fermata, `=3` tremolo with three strokes
* `/c#5` a grace note before the next note; `|` a bar line, where the bar must be full

All pitches are SOUNDING; the writer transposes. Dynamics, hairpins and words are placed
apart from the notes, by bar and beat: `score.dyn("p", "5:1", STRINGS)`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction

STEPS = "cdefgab"
SEMITONES = {"c": 0, "d": 2, "e": 4, "f": 5, "g": 7, "a": 9, "b": 11}
ALTERS = {"": 0, "#": 1, "##": 2, "b": -1, "bb": -2}
TOKEN = re.compile(
    r"^(?P<head>r|R|/?[a-g](?:##|#|bb|b)?\d|\[[^\]]+\])(?::(?P<len>\d+\.?))?(?P<marks>[()~'>@\-]*)"
    r"(?:=(?P<trem>\d))?(?P<more>[()~'>@\-]*)$"
)
PITCH = re.compile(r"^([a-g])(##|#|bb|b)?(\d)$")


@dataclass(frozen=True)
class Pitch:
    step: int  # 0 = C .. 6 = B
    alter: int
    octave: int

    @classmethod
    def parse(cls, text: str) -> Pitch:
        m = PITCH.match(text)
        if not m:
            raise ValueError(f"not a pitch: {text}")
        return cls(STEPS.index(m[1]), ALTERS[m[2] or ""], int(m[3]))

    @property
    def midi(self) -> int:
        return 12 * (self.octave + 1) + SEMITONES[STEPS[self.step]] + self.alter

    def moved(self, diatonic: int, chromatic: int) -> Pitch:
        """The pitch `diatonic` steps and `chromatic` semitones away, spelled by the steps."""
        octave, step = divmod(self.octave * 7 + self.step + diatonic, 7)
        plain = Pitch(step, 0, octave)
        return Pitch(step, self.midi + chromatic - plain.midi, octave)

    def __str__(self) -> str:
        sign = {v: k for k, v in ALTERS.items()}[self.alter]
        return f"{STEPS[self.step]}{sign}{self.octave}"


@dataclass
class Event:
    """A note, chord or rest of one part."""

    pitches: tuple[Pitch, ...]
    length: Fraction  # in quarters
    kind: str  # "4", "8." ...
    marks: str = ""
    tremolo: int = 0
    graces: tuple[Pitch, ...] = ()
    whole_bar: bool = False


@dataclass(frozen=True)
class Part:
    key: str  # the name used in the source, "V1"
    label: str
    short: str
    instrument: str  # score-instrument name
    sound: str
    program: int  # General MIDI, 1-based
    clef: str
    diatonic: int = 0  # written to sounding, octaves included
    chromatic: int = 0
    key_shift: int | None = 0  # fifths added to the concert key; None: no signature
    family: str = "woodwind"


@dataclass
class Bar:
    label: str
    length: Fraction
    implicit: bool = False
    rehearsal: str = ""
    tempo: tuple[str, int, str] | None = None  # words, beats a minute, beat unit
    repeat_forward: bool = False
    repeat_back: bool = False
    ending: str = ""  # "1" or "2"
    double: bool = False
    final: bool = False


@dataclass
class Direction:
    kind: str  # dynamic / words / wedge
    text: str
    at: Fraction  # quarters from the start of the bar


@dataclass
class Score:
    title: str
    number: int
    fifths: int
    minor: bool
    beats: int
    beat_type: int
    parts: list[Part]
    bars: list[Bar]
    notes: dict[str, dict[str, list[Event]]] = field(default_factory=dict)
    directions: dict[tuple[str, str], list[Direction]] = field(default_factory=dict)
    clefs: dict[tuple[str, str], str] = field(default_factory=dict)

    def bar(self, label: str) -> Bar:
        return next(b for b in self.bars if b.label == label)

    def labels(self) -> list[str]:
        return [b.label for b in self.bars]

    # -- notes -----------------------------------------------------------------
    def write(self, keys: str, start: str, text: str) -> None:
        """Write `text` into each of the parts named in `keys`, from bar `start` on."""
        labels = self.labels()
        for key in keys.split():
            if all(p.key != key for p in self.parts):
                raise ValueError(f"no part {key}")
            at = labels.index(start)
            kind = "4"
            for chunk in text.split("|"):
                if not chunk.strip():
                    continue
                bar = self.bars[at]
                events, kind = parse(chunk, bar.length, kind)
                total = sum((e.length for e in events), Fraction(0))
                if total != bar.length:
                    raise ValueError(f"{key} bar {bar.label}: {total} of {bar.length} in {chunk!r}")
                mine = self.notes.setdefault(key, {})
                if bar.label in mine:
                    raise ValueError(f"{key} bar {bar.label} is written twice")
                mine[bar.label] = events
                at += 1

    # -- marks -----------------------------------------------------------------
    def _place(self, where: str) -> tuple[str, Fraction]:
        """`"5:1.5"` -> bar and distance from its beginning; beats are printed beats."""
        label, _, beat = where.partition(":")
        distance = (Fraction(beat or "1") - 1) * Fraction(4, self.beat_type)
        return label, distance

    def _add(self, kind: str, text: str, where: str, keys: str) -> None:
        label, at = self._place(where)
        if at > self.bar(label).length:
            raise ValueError(f"{where} lies outside its bar")
        for key in keys.split():
            self.directions.setdefault((key, label), []).append(Direction(kind, text, at))

    def dyn(self, text: str, where: str, keys: str) -> None:
        self._add("dynamic", text, where, keys)

    def text(self, text: str, where: str, keys: str) -> None:
        self._add("words", text, where, keys)

    def hair(self, shape: str, start: str, stop: str, keys: str) -> None:
        self._add("wedge", {"<": "crescendo", ">": "diminuendo"}[shape], start, keys)
        self._add("wedge", "stop", stop, keys)

    def clef(self, sign: str, bar: str, key: str) -> None:
        self.clefs[(key, bar)] = sign


def parse(chunk: str, whole: Fraction, kind: str) -> tuple[list[Event], str]:
    """The events of one bar, and the length that holds for the next."""
    events: list[Event] = []
    graces: list[Pitch] = []
    for token in chunk.split():
        m = TOKEN.match(token)
        if not m:
            raise ValueError(f"not a token: {token!r} in {chunk!r}")
        head = m["head"]
        if head == "R":
            events.append(Event((), whole, "", whole_bar=True))
            continue
        if head[0] == "/":
            graces.append(Pitch.parse(head[1:]))
            continue
        kind = m["len"] or kind
        pitches: tuple[Pitch, ...] = ()
        if head[0] == "[":
            pitches = tuple(Pitch.parse(p.strip()) for p in head[1:-1].split(","))
        elif head != "r":
            pitches = (Pitch.parse(head),)
        events.append(
            Event(
                pitches,
                length_of(kind),
                kind,
                (m["marks"] or "") + (m["more"] or ""),
                int(m["trem"] or 0),
                tuple(graces),
            )
        )
        graces = []
    return events, kind


def length_of(kind: str) -> Fraction:
    base = Fraction(4, int(kind.rstrip(".")))
    return base * Fraction(3, 2) if kind.endswith(".") else base


# -- small transformations of written music -------------------------------------
def _each(text: str, change) -> str:
    return re.sub(r"(?<![a-z])[a-g](?:##|#|bb|b)?\d", lambda m: change(m[0]), text)


def octaves(text: str, n: int) -> str:
    """The same music `n` octaves higher (or lower)."""
    return _each(text, lambda p: str(Pitch.parse(p).moved(7 * n, 12 * n)))


def steps(text: str, n: int, sharps: str = "", flats: str = "") -> str:
    """The same music `n` scale steps away; `sharps` and `flats` name the notes of the scale."""

    def change(p: str) -> str:
        old = Pitch.parse(p)
        octave, step = divmod(old.octave * 7 + old.step + n, 7)
        name = STEPS[step]
        return str(Pitch(step, (name in sharps) - (name in flats), octave))

    return _each(text, change)


def repeat(text: str, n: int) -> str:
    return " ".join([text] * n)
