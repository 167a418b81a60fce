"""A note, chord or rest of **kern as an event.

Signs as in the Humdrum Guide, reference manual of **kern: lengths as
reciprocals ("8." = dotted quaver, "12" = triplet quaver, "0" = breve), pitches
as repeated letters around middle C ("C" below it, "cc" above), *sounding*.
"""

from __future__ import annotations

import re
from fractions import Fraction

from analysis.engine.formats.kern.spines import broken
from analysis.engine.formats.piece import Event, Head, named_length

_RECIP = re.compile(r"(\d+)(?:%(\d+))?")
_PITCH = re.compile(r"([a-g]+|[A-G]+)(#+|-+|n)?")
_LONG = {"0": Fraction(8), "00": Fraction(16), "000": Fraction(32)}
_ARTICULATIONS = (("^^", "strong-accent"), ("^", "accent"), ("'", "staccato"), ("~", "tenuto"),
                  ("`", "staccatissimo"), (",", "breath-mark"))  # fmt: skip
_ORNAMENTS = (("T", "trill-mark"), ("t", "trill-mark"), ("M", "inverted-mordent"),
              ("m", "inverted-mordent"), ("W", "mordent"), ("w", "mordent"), ("S", "turn"),
              ("$", "inverted-turn"))  # fmt: skip
_TECHNICAL = (("v", "up-bow"), ("u", "down-bow"))
_TOO_SHORT = 4096


def length(token: str, number: int) -> tuple[Fraction, int] | None:
    """Length in quarters without its dots, and the dots; None if none is given."""
    found = _RECIP.search(token)
    if found is None:
        return None
    digits, below, dots = found[1], found[2], token.count(".")
    if dots > 4:
        raise broken("holds a note with more than four dots", number)
    if below is not None:
        if len(digits) > 5 or len(below) > 5 or not int(digits) or not int(below):
            raise broken(f"holds the length “{found[0][:20]}”, which cannot be", number)
        return Fraction(4 * int(below), int(digits)), dots
    if set(digits) == {"0"}:
        if digits not in _LONG:
            raise broken(f"holds the length “{digits[:20]}”, which cannot be", number)
        return _LONG[digits], dots
    if len(digits) > 4 or int(digits) > _TOO_SHORT:
        raise broken(f"holds the length “{digits[:20]}”, which cannot be", number)
    return Fraction(4, int(digits)), dots


def event(token: str, number: int, *, unpitched: bool) -> Event | None:
    """The event of a token, at time 0; None if it is neither note nor rest."""
    pieces = token.split(" ")
    first = pieces[0]
    found = length(first, number)
    rest = "r" in first
    heads = [] if rest else [h for p in pieces if (h := _head(p, number)) is not None]
    if not rest and not heads:
        return None
    made = Event(Fraction(0), Fraction(0), heads=heads, unpitched=unpitched)
    if "q" in token:
        made.grace = "plain" if "qq" in token else "slashed"
    if found is None and not made.grace:
        raise broken("holds a note without a length", number)
    if found is not None:
        _printed(made, *found)
    if made.grace:
        made.length, made.tuplet = Fraction(0), None
    made.hidden = "yy" in token
    _signs(made, token)
    return made


def _printed(made: Event, base: Fraction, dots: int) -> None:
    made.length = base * (2 - Fraction(1, 2**dots))
    named = named_length(base)
    if named is None:
        odd = base.denominator
        while odd % 2 == 0:
            odd //= 2
        normal = 1 << (odd.bit_length() - 1)
        named = named_length(base * odd / normal)
        if named is not None and odd > 1 and odd <= 255:
            made.tuplet = (odd, normal)
        else:
            named = None
    if named is not None:
        made.type, made.dots = named[0], min(4, named[1] + dots)


def _head(piece: str, number: int) -> Head | None:
    found = _PITCH.search(piece)
    if found is None:
        return None
    letters, sign = found[1], found[2] or ""
    if len(set(letters)) != 1:
        raise broken(f"holds the pitch “{letters[:10]}”, which cannot be", number)
    octave = 3 + len(letters) if letters[0].islower() else 4 - len(letters)
    if not 0 <= octave <= 9 or len(sign) > 3:
        raise broken(f"holds the pitch “{found[0][:10]}”, which cannot be read", number)
    alter = len(sign) if sign.startswith("#") else -len(sign) if sign.startswith("-") else 0
    head = Head(letters[0].upper(), float(alter), octave)
    head.tie_start = "[" in piece or "_" in piece
    head.tie_stop = "]" in piece or "_" in piece
    return head


def _signs(made: Event, token: str) -> None:
    if made.heads:
        left = token
        for sign, name in _ARTICULATIONS:
            if sign in left:
                made.articulations.append(name)
                left = left.replace(sign, "")
        made.ornaments = list(dict.fromkeys(n for s, n in _ORNAMENTS if s in token))
        made.technical = [n for s, n in _TECHNICAL if s in token]
        made.arpeggio = ":" in token
    made.fermata = ";" in token
