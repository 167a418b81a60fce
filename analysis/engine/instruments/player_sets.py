"""Which players read a part: "1. 2.", "2 Flauti", a bare plural, a section."""

from __future__ import annotations

from analysis.engine.instruments.evidence import ScoreSeen
from analysis.engine.instruments.names import LabelReading
from analysis.engine.instruments.table import INSTRUMENTS

_NO_PLAYERS = frozenset(("percussion", "keyboard", "plucked", "unknown"))


def players_of(
    reading: LabelReading, score: ScoreSeen, index: int
) -> tuple[tuple[int, ...], int | None, str]:
    """Players, section number and a doubt in words (or "").

    Players of winds are numbered; strings and voices are sections (), whose
    number is the section's; "solo" makes a section one player.
    """
    record = INSTRUMENTS[reading.instrument]
    found = reading.players
    if found.odd:
        return (), None, f"The number {found.odd} of “{reading.text}” is not understood."
    if record.section:
        return _section(reading)
    if record.family in _NO_PLAYERS:
        return found.numbers, None, ""
    if found.numbers and found.count and found.count != len(found.numbers):
        return found.numbers, None, f"“{reading.text}” has {found.count} players and other numbers."
    if found.numbers:
        return found.numbers, None, ""
    if found.count:
        return tuple(range(1, found.count + 1)), None, ""
    before = _earlier(reading, score, index)
    if reading.form == "plural":
        if record.pair:
            return tuple(range(before * 2 + 1, before * 2 + record.pair + 1)), None, ""
        return (), None, f"“{reading.text}” does not say how many players read this staff."
    if reading.form == "abbreviation":
        return (before + 1,), None, f"“{reading.text}” may be one player or a pair."
    return (before + 1,), None, ""


def _section(reading: LabelReading) -> tuple[tuple[int, ...], int | None, str]:
    numbers = reading.players.numbers
    if len(numbers) > 1:
        return (), None, f"“{reading.text}” names two sections on one staff."
    number = numbers[0] if numbers else None
    return ((1,) if reading.solo else ()), number, ""


def _earlier(reading: LabelReading, score: ScoreSeen, index: int) -> int:
    """How many parts above carry the same instrument without numbers."""
    return sum(
        1
        for other in score.readings[:index]
        if other.instrument == reading.instrument
        and not other.players.numbers
        and not other.players.count
        and other.crooks == reading.crooks
    )
