"""Printed lengths: a stretch of a bar as note values, tied together where one is not enough.

Times are quarters as fractions, from the start of the bar. A value may begin off the beat only
where it stays readable: an undotted or dotted value on a multiple of half of its base (a
syncopation), a tuplet within its beat or as one of equal parts of a longer group. Common
practice, as in E. Gould, Behind Bars (2011), "Note-grouping" (from memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from analysis.engine.formats.piece import LENGTHS, named_length
from analysis.engine.model import Bar

#: odd divisions of a value and how many regular ones they take the place of
TUPLETS = {3: 2, 5: 4, 7: 4, 9: 8, 15: 8}
_FINEST = Fraction(1, 32)  # of a quarter: below it nothing is split any further


@dataclass(frozen=True, slots=True)
class Value:
    """One printed value; `type` "" where no value fits."""

    onset: Fraction
    length: Fraction
    type: str = ""
    dots: int = 0
    tuplet: tuple[int, int] | None = None


def beat_of(bar: Bar) -> Fraction:
    """Quarters of a beat: three units in compound metres, else the printed denominator."""
    unit = Fraction(4, bar.beat_type or 4)
    return 3 * unit if bar.beat_type >= 8 and bar.beats % 3 == 0 and bar.beats else unit


def split(start: Fraction, end: Fraction, beat: Fraction) -> Iterator[Value]:
    """Values that fill ``start <= t < end`` of a bar whose beats last `beat`."""
    at = start
    while at < end:
        value = _first(at, end - at, beat)
        yield value
        at += value.length


def _first(at: Fraction, length: Fraction, beat: Fraction) -> Value:
    """The longest readable value that begins at `at` and lasts `length` at most."""
    whole = _value(at, length, beat)
    if whole is not None:
        return whole
    step = beat
    while step >= _FINEST:
        until = (at // step + 1) * step - at
        if until < length:
            part = _value(at, until, beat)
            if part is not None:
                return part
        step /= 2
    return _value(at, min(length, (at // beat + 1) * beat - at), beat) or Value(at, length)


def _value(at: Fraction, length: Fraction, beat: Fraction) -> Value | None:
    odd = _odd(at, length)
    if odd == 1:
        named = named_length(length)
        if named is None or named[1] > 1:
            return None
        inside = at // beat == (at + length) // beat or at % beat == 0
        if not inside and at % (LENGTHS[named[0]] / 2):
            return None
        return Value(at, length, *named)
    inside = (at + length) <= (at // beat + 1) * beat
    if odd not in TUPLETS or not (inside or at % length == 0):
        return None
    normal = TUPLETS[odd]
    named = named_length(length * odd / normal)
    if named is None or named[1] > 1:
        return None
    return Value(at, length, *named, (odd, normal))


def _odd(*times: Fraction) -> int:
    """The odd part of the times' common denominator: 1 without tuplets."""
    found = 1
    for time in times:
        odd = time.denominator
        while odd % 2 == 0:
            odd //= 2
        if found % odd:
            found = odd if odd % found == 0 else found * odd
    return found
