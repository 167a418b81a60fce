"""Ranges that music needs and the schema does not state.

Source of the shapes: MusicXML 4.0. The bounds are the gate's own: wider than
any of 61 orchestral movements measured, narrow enough that no later step can
be made to count to a thousand million.
"""

from __future__ import annotations

import re
from collections.abc import Callable

_WHOLE = re.compile(r"[+-]?[0-9]{1,9}\Z")
_DECIMAL = re.compile(r"[+-]?(?:[0-9]{1,9}(?:\.[0-9]{0,9})?|\.[0-9]{1,9})\Z")
_SUM = re.compile(r"[0-9]{1,3}(?: ?\+ ?[0-9]{1,3}){0,15}\Z")


def whole(text: str) -> int | None:
    """An integer as MusicXML writes it ("4", "+4", "4.0"), or None."""
    if _WHOLE.match(text):
        return int(text)
    value = decimal(text)
    return int(value) if value is not None and value == int(value) else None


def decimal(text: str) -> float | None:
    """A decimal without exponent, NaN or infinity, or None."""
    return float(text) if _DECIMAL.match(text) else None


def beats(text: str) -> int | None:
    """The sum of "3+2+3", or None if a term is missing, zero or absurd."""
    if not _SUM.match(text):
        return None
    terms = [int(t) for t in text.split("+")]
    return sum(terms) if min(terms) > 0 and sum(terms) <= 255 else None


Check = Callable[[str], str | None]
"""Takes the text, gives the text to write, or None if it is out of range."""


def _integer(low: int, high: int) -> Check:
    def check(text: str) -> str | None:
        value = whole(text)
        return str(value) if value is not None and low <= value <= high else None

    return check


def _number(low: float, high: float) -> Check:
    def check(text: str) -> str | None:
        value = decimal(text)
        if value is None or not low <= value <= high:
            return None
        return str(int(value)) if value == int(value) else repr(value)

    return check


def _step(text: str) -> str | None:
    return text if len(text) == 1 and text in "ABCDEFG" else None


def _beats(text: str) -> str | None:
    return text.replace(" ", "") if beats(text) is not None else None


#: tag -> (check, what it is called, what is allowed)
RANGES: dict[str, tuple[Check, str, str]] = {
    "divisions": (_integer(1, 65_535), "the time unit (divisions)", "1 to 65535"),
    "duration": (_integer(0, 1_000_000), "a duration", "0 to 1000000"),
    "step": (_step, "a pitch letter", "A to G"),
    "octave": (_integer(0, 9), "an octave", "0 to 9"),
    "alter": (_number(-4, 4), "an alteration", "-4 to 4 semitones"),
    "display-step": (_step, "a pitch letter", "A to G"),
    "display-octave": (_integer(0, 9), "an octave", "0 to 9"),
    "fifths": (_integer(-14, 14), "a key signature", "14 flats to 14 sharps"),
    "key-step": (_step, "a pitch letter", "A to G"),
    "key-alter": (_number(-4, 4), "an alteration", "-4 to 4 semitones"),
    "beats": (_beats, "the upper figure of a time signature", "1 to 255"),
    "beat-type": (_integer(1, 256), "the lower figure of a time signature", "1 to 256"),
    "staves": (_integer(1, 8), "the number of staves", "1 to 8"),
    "staff": (_integer(1, 8), "a staff number", "1 to 8"),
    "staff-lines": (_integer(0, 12), "the number of staff lines", "0 to 12"),
    "line": (_integer(-5, 16), "the line of a clef", "1 to 5"),
    "clef-octave-change": (_integer(-3, 3), "the octave of a clef", "-3 to 3"),
    "actual-notes": (_integer(1, 255), "a tuplet", "1 to 255"),
    "normal-notes": (_integer(1, 255), "a tuplet", "1 to 255"),
    "tuplet-number": (_integer(1, 255), "a tuplet", "1 to 255"),
    "chromatic": (_number(-60, 60), "a transposition", "-60 to 60 semitones"),
    "diatonic": (_integer(-40, 40), "a transposition", "-40 to 40 steps"),
    "octave-change": (_integer(-5, 5), "a transposition", "-5 to 5 octaves"),
    "multiple-rest": (_integer(1, 5_000), "a rest of several bars", "1 to 5000"),
    "measure-repeat": (lambda t: t and _integer(1, 64)(t), "a bar repeat sign", "1 to 64"),
    "tremolo": (_integer(0, 8), "a tremolo", "0 to 8 strokes"),
}
