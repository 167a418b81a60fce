"""The vocabulary of MEI's attributes (data types of the MEI guidelines, version 5)."""

from __future__ import annotations

import re
from fractions import Fraction

from analysis.engine.errors import Refused

ALTER = {"n": 0.0, "s": 1.0, "f": -1.0, "ss": 2.0, "x": 2.0, "ff": -2.0, "xs": 3.0, "sx": 3.0,
         "ts": 3.0, "tf": -3.0, "nf": -1.0, "ns": 1.0, "su": 1.5, "sd": 0.5, "fu": -0.5,
         "fd": -1.5, "nu": 0.5, "nd": -0.5, "1qf": -0.5, "3qf": -1.5, "1qs": 0.5,
         "3qs": 1.5}  # fmt: skip
SIGNS = {"n": "natural", "s": "sharp", "f": "flat", "ss": "sharp-sharp", "x": "double-sharp",
         "ff": "flat-flat", "ts": "triple-sharp", "tf": "triple-flat", "nf": "natural-flat",
         "ns": "natural-sharp", "1qf": "quarter-flat", "3qf": "three-quarters-flat",
         "1qs": "quarter-sharp", "3qs": "three-quarters-sharp"}  # fmt: skip
TYPES = {"long": "long", "breve": "breve", "1": "whole", "2": "half", "4": "quarter",
         "8": "eighth", "16": "16th", "32": "32nd", "64": "64th", "128": "128th",
         "256": "256th", "512": "512th", "1024": "1024th"}  # fmt: skip
MENSURAL = ("maxima", "longa", "brevis", "semibrevis", "minima", "semiminima", "fusa", "semifusa")
ARTICULATIONS = {"acc": "accent", "stacc": "staccato", "ten": "tenuto", "marc": "strong-accent",
                 "stacciss": "staccatissimo", "spicc": "spiccato", "ten-stacc": "detached-legato",
                 "acc-soft": "soft-accent", "stress": "stress", "unstress": "unstress",
                 "doit": "doit", "scoop": "scoop", "fall": "falloff", "plop": "plop"}  # fmt: skip
TECHNICAL = {"upbow": "up-bow", "dnbow": "down-bow", "harm": "harmonic", "open": "open-string",
             "stop": "stopped", "snap": "snap-pizzicato", "dbltongue": "double-tongue",
             "trpltongue": "triple-tongue", "heel": "heel", "toe": "toe"}  # fmt: skip
BARLINES = {"dbl": "light-light", "end": "light-heavy", "dashed": "dashed", "dotted": "dotted",
            "invis": "none", "heavy": "heavy", "dbldashed": "dashed", "dbldotted": "dotted",
            "rptend": "light-heavy", "rptboth": "light-heavy"}  # fmt: skip
_KEY = re.compile(r"(\d{1,2})([sf])")
_NUMBER = re.compile(r"-?\d{1,9}")
_MEND = "Correct it in your notation program and export the score again."


def refuse(text: str, where: str, code: str = "range") -> Refused:
    """A refusal that names the place."""
    if not where:
        return Refused(f"{text[0].upper()}{text[1:]} {_MEND}", code=code)
    return Refused(f"{where[0].upper()}{where[1:]}: {text} {_MEND}", code=code, where=where)


def whole(value: str | None, low: int, high: int, what: str, where: str) -> int:
    """An attribute as a number within bounds.

    Raises
    ------
    Refused
        Naming the place, if it is none or out of bounds.
    """
    shown = (value or "").strip()
    if _NUMBER.fullmatch(shown) and low <= int(shown) <= high:
        return int(shown)
    raise refuse(f"{what} is given as “{shown[:20]}”; {low} to {high} can be read.", where)


def fifths(value: str) -> int | None:
    """A key signature: "3s", "2f", "0"; None for mixed ones."""
    value = value.strip()
    if value in ("0", ""):
        return 0
    found = _KEY.fullmatch(value)
    if found is None or int(found[1]) > 14:
        return None
    return int(found[1]) if found[2] == "s" else -int(found[1])


def key_alter(fifths: int, step: str) -> int:
    """What a key signature does to a letter."""
    order = "FCGDAEB"
    if fifths >= 0:
        return (fifths - order.index(step) + 6) // 7
    return -((-fifths - order[::-1].index(step) + 6) // 7)


def beats(count: str, where: str) -> tuple[str, Fraction]:
    """A meter's count, also "3+2", and its sum."""
    pieces = [p.strip() for p in count.split("+")]
    total = Fraction(0)
    for piece in pieces:
        if not re.fullmatch(r"\d{1,3}(\.\d{1,3})?", piece) or not Fraction(piece):
            raise refuse(f"a time signature counts “{count[:20]}” beats.", where)
        total += Fraction(piece)
    if any("." in p for p in pieces) or len(pieces) > 12:
        raise refuse(f"a time signature counts “{count[:20]}” beats.", where)
    return "+".join(pieces), total
