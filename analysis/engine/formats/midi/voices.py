"""Notes of one part into chords, voices and tied note values."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from analysis.engine.formats.midi.events import broken
from analysis.engine.formats.midi.grid import Bar, bar_at
from analysis.engine.formats.piece import Event, Head, PartBar, named_length
from analysis.engine.formats.rhythm import beam_by_beats, bracket_tuplets

CHORD = 64


@dataclass(slots=True)
class Chord:
    on: Fraction
    off: Fraction
    heads: list[Head] = field(default_factory=list)
    voice: int = 0


def chords(notes: list[tuple[Fraction, Fraction, Head]]) -> list[Chord]:
    """Notes that begin and end together are one chord."""
    made: dict[tuple[Fraction, Fraction], Chord] = {}
    for on, off, head in notes:
        chord = made.setdefault((on, off), Chord(on, off))
        same = [h for h in chord.heads if (h.step, h.alter, h.octave) == (head.step, head.alter,
                                                                         head.octave)]  # fmt: skip
        if not same:
            chord.heads.append(head)
        if len(chord.heads) > CHORD:
            raise broken(f"has more than {CHORD} notes at one instant in one part", "chord")
    ordered = sorted(made.values(), key=lambda c: (c.on, -c.heads[0].octave, c.off))
    free: list[Fraction] = []
    for chord in ordered:
        voice = next((i for i, f in enumerate(free) if f <= chord.on), len(free))
        if voice == len(free):
            free.append(Fraction(0))
        if voice >= CHORD:
            raise broken(f"has more than {CHORD} notes at one instant in one part", "chord")
        free[voice] = chord.off
        chord.voice = voice + 1
    return ordered


def fill(made: list[Chord], bars: list[Bar], *, unpitched: bool) -> list[PartBar]:
    """The bars of a part, notes split where a bar ends or no value fits."""
    starts = [b.start for b in bars]
    out = [PartBar() for _ in bars]
    for chord in made:
        at = chord.on
        index = bar_at(starts, at)
        pieces: list[tuple[int, Event]] = []
        while at < chord.off and index < len(bars):
            bar = bars[index]
            stop = min(chord.off, bar.start + bar.length)
            for begin, length, name, dots, tuplet in values(at - bar.start, stop - bar.start):
                event = Event(begin, length, copy.deepcopy(chord.heads), voice=chord.voice)
                event.type, event.dots, event.tuplet = name, dots, tuplet
                event.unpitched = unpitched
                pieces.append((index, event))
            at, index = stop, index + 1
        for k, (where, event) in enumerate(pieces):
            for head in event.heads:
                head.tie_stop = k > 0 and not unpitched
                head.tie_start = k < len(pieces) - 1 and not unpitched
            out[where].events.append(event)
    for bar, made_bar in zip(bars, out, strict=True):
        _rests(made_bar, bar)
    return out


def _rests(made: PartBar, bar: Bar) -> None:
    """Rests in the first voice, and marks of tuplets and beams in all."""
    first = sorted((e for e in made.events if e.voice == 1), key=lambda e: e.onset)
    if not first:
        made.events.append(Event(Fraction(0), bar.length, whole_bar=True))
    at = Fraction(0)
    for event in [*first, None] if first else []:
        until = event.onset if event is not None else bar.length
        if until > at:
            for begin, length, name, dots, tuplet in values(at, until):
                rest = Event(begin, length, type=name, dots=dots, tuplet=tuplet)
                made.events.append(rest)
        at = event.onset + event.length if event is not None else until
    made.events.sort(key=lambda e: (e.voice, e.onset))
    for voice in {e.voice for e in made.events}:
        own = [e for e in made.events if e.voice == voice]
        bracket_tuplets(own)
        beam_by_beats(own, Fraction(1))


def values(
    start: Fraction, end: Fraction
) -> Iterator[tuple[Fraction, Fraction, str, int, tuple[int, int] | None]]:
    """Printed values, tied together, that fill a stretch of a bar."""
    at = start
    while at < end:
        length = end - at
        found = _value(length)
        if found is None:
            beat = Fraction(at.numerator // at.denominator + 1)
            length = min(length, beat - at)
            found = _value(length) or ("", 0, None)
        name, dots, tuplet = found
        yield at, length, name, dots, tuplet
        at += length


def _value(length: Fraction) -> tuple[str, int, tuple[int, int] | None] | None:
    named = named_length(length)
    if named is not None:
        return *named, None
    for tuplet in ((3, 2), (5, 4), (7, 4)):
        named = named_length(length * tuplet[0] / tuplet[1])
        if named is not None and named[1] == 0:
            return *named, tuplet
    return None
