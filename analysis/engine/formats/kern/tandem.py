"""Interpretations of a column: clef, key, metre, instrument, transposition."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from analysis.engine.formats.kern import instruments
from analysis.engine.formats.kern.spines import broken
from analysis.engine.formats.piece import Change, Clef, Mark, PartBar

_CLEF = re.compile(r"\*clef([GFC])(v{0,2}|\^{0,2})([1-5])")
_KEY = re.compile(r"\*k\[((?:[a-g][#-])*)\]")
_MODE = re.compile(r"\*([A-Ga-g])([#-]*):")
_METER = re.compile(r"\*M(\d{1,3})/(\d{1,3})")
_TEMPO = re.compile(r"\*MM\[?(\d{1,4}(?:\.\d{1,3})?)")
_TRANSPOSED = re.compile(r"\*ITrd(-?\d{1,2})c(-?\d{1,2})")
_STAFF = re.compile(r"\*staff(\d{1,3})")
_PART = re.compile(r"\*part(\d{1,3})")
_FIFTHS = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}


@dataclass
class Head:
    """What a column says of itself."""

    name: str = ""
    abbreviation: str = ""
    code: str = ""
    staff: int | None = None
    part: int | None = None
    unpitched: bool = False
    transpose: tuple[int, int] | None = None  # steps, semitones from written to sounding


def take(token: str, head: Head, bar: PartBar, at: Fraction, number: int) -> None:
    """Let an interpretation change a staff, at a time of the bar."""
    if _names(token, head):
        return
    change = Change(at)
    if found := _CLEF.fullmatch(token):
        moved = len(found[2]) * (-1 if "v" in found[2] else 1)
        change.clef = Clef(found[1], int(found[3]), moved)
        head.unpitched = False
    elif token == "*clefX":
        change.clef, head.unpitched = Clef("percussion"), True
    elif found := _KEY.fullmatch(token):
        change.fifths = found[1].count("#") - found[1].count("-")
        if abs(change.fifths) > 14:
            raise broken("holds a key signature that cannot be", number)
    elif found := _METER.fullmatch(token):
        if not int(found[1]) > 0 or not 0 < int(found[2]) <= 128:
            raise broken(f"holds the time signature “{token[2:12]}”, which cannot be", number)
        change.time = (found[1], int(found[2]))
    elif token in ("*met(c)", "*met(c|)"):
        change.time_symbol = "common" if token == "*met(c)" else "cut"
        for before in bar.changes:
            if before.time is not None and before.onset == at:
                before.time_symbol = change.time_symbol
        return
    elif found := _TRANSPOSED.fullmatch(token):
        # the code tells from sounding to written, and notes stand as they sound
        head.transpose = (-int(found[1]), -int(found[2]))
        return
    elif found := _TEMPO.match(token):
        tempo = float(found[1])
        if 1 <= tempo <= 1000:
            bar.marks.append(Mark(at, "tempo", tempo=tempo))
        return
    elif token in ("*8va", "*X8va", "*8ba", "*X8ba"):
        kind = "stop" if "X" in token else "down" if "va" in token else "up"
        bar.marks.append(Mark(at, "octave-shift", kind))
        return
    elif token in ("*ped", "*Xped", "*ped*"):
        bar.marks.append(Mark(at, "pedal", "start" if token == "*ped" else "stop"))
        return
    elif found := _MODE.fullmatch(token):
        _mode(found, bar, at)
        return
    if change != Change(at):
        bar.changes.append(change)


def _mode(found: re.Match[str], bar: PartBar, at: Fraction) -> None:
    for change in bar.changes:
        if change.fifths is not None and change.onset == at:
            change.mode = "major" if found[1].isupper() else "minor"


def _names(token: str, head: Head) -> bool:
    if token.startswith('*I"'):
        head.name = head.name or token[3:].strip()
    elif token.startswith("*I'"):
        head.abbreviation = head.abbreviation or token[3:].strip()
    elif found := _STAFF.fullmatch(token):
        head.staff = int(found[1])
    elif found := _PART.fullmatch(token):
        head.part = int(found[1])
    elif token.startswith("*I") and instruments.name_of(token[2:].lstrip("#")):
        head.code = head.code or token[2:]
    else:
        return False
    return True
