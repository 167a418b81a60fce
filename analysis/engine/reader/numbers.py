"""Numbers of MusicXML, exact."""

from __future__ import annotations

from fractions import Fraction

Number = int | Fraction


def number(text: str | None) -> Number:
    """A MusicXML number: an integer if it is one, else an exact fraction; 0 if unreadable."""
    try:
        return int(text or 0)
    except ValueError:
        try:
            value = Fraction((text or "0").strip())
        except (ValueError, ZeroDivisionError):
            return 0
        return int(value) if value.denominator == 1 else value


def exact(value: Number) -> Number:
    if isinstance(value, Fraction) and value.denominator == 1:
        return value.numerator
    return value


def alteration(text: str | None) -> tuple[int, int]:
    """Whole semitones towards zero, and the rest in cents."""
    try:
        return int(text or 0), 0
    except ValueError:
        value = number(text)
        whole = int(value)
        return whole, round(float(value - whole) * 100)
