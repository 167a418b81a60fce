"""Notes below or above what an instrument has.

Lowest notes of strings and woodwind are hard limits, highest ones soft
(common practice; `table` names the books).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from analysis.engine.instruments.table import instrument
from analysis.engine.pitch import from_midi

#: More than a fourth below the lowest note is no slip of the pen: another clef,
#: another octave or another instrument.
FAR = 5


@dataclass(frozen=True, slots=True)
class RangeNotice:
    """`impossible`: below the lowest note, extension included; else remarkable."""

    severity: Literal["impossible", "remarkable"]
    text: str
    by: int  # semitones beyond the limit


def check_range(key: str, semitones: int, low: int | None, high: int | None) -> list[RangeNotice]:
    """Compare a part's written range with the instrument.

    Parameters
    ----------
    key : str
        Instrument key.
    semitones : int
        Written to sounding.
    low, high : int or None
        Lowest and highest written MIDI number; None for an empty part.
    """
    record = instrument(key)
    found: list[RangeNotice] = []
    if low is not None and record.floor is not None:
        sounding = low + semitones
        limit = record.floor if record.extended is None else record.extended
        name = from_midi(sounding).name
        if sounding < limit:
            text = f"{name} lies below the lowest note of the {record.name}: a misprint, another"
            text += " tuning, or the part is not read rightly."
            found.append(RangeNotice("impossible", text, limit - sounding))
        elif sounding < record.floor:
            text = f"{name} needs an extension of the {record.name}."
            found.append(RangeNotice("remarkable", text, record.floor - sounding))
    if high is not None and record.professional is not None:
        usual = record.transposition if record.transposition is not None else semitones
        top = record.professional.sounding(usual).high
        if high + semitones > top:
            text = f"{from_midi(high + semitones).name} is very high for the {record.name}."
            found.append(RangeNotice("remarkable", text, high + semitones - top))
    return found
