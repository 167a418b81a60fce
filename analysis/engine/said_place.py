"""A place as one types it into a form: "24-31", "II: 9", "33f.", "3 after C", "1-4, second time".

The turns of phrase are those of a typed sentence (`prose.bars`), so that a place means the same
in a sentence and in a field. What names no place, or not surely one, comes back as a question.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from analysis.engine import places
from analysis.engine.claims.naming import pause_json
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import ScoreTable
from analysis.engine.prose.bars import cut_places

_WORD = r"(?:movement|mvt\.?|mov\.?|satz|mouvement|movimento)"
_MOVEMENT = re.compile(
    rf"^\s*(?:(?:{_WORD}\s+)?(?P<roman>(?-i:[IVX]{{1,4}}))\.?|{_WORD}\s+(?P<number>\d{{1,2}})"
    rf"|(?P<nth>\d{{1,2}})(?:st|nd|rd|th|\.)\s*{_WORD})(?:\s*[:,]\s*|\s+(?=b|m|t|\d))(?=\S)",
    re.IGNORECASE,
)
_ROMAN = {"I": 1, "V": 5, "X": 10}
#: "24-31" and the like, that no word leads to
_BARE = re.compile(r"^\s*\d")
_NUMBER = r"(\d{1,4}[a-z]?)"
_TO = r"\s*(?:-|–|to|and|&)\s*"
#: Ways of a field that no sentence has: "23.3-23.4", "23, beats 3-4", "23 (beat 2)", "C-D".
_SHORT = (
    (rf"\b{_NUMBER}\.(\d){_TO}{_NUMBER}\.(\d)\b", r"bar \1 beat \2 - bar \3 beat \4"),
    (rf"^\s*{_NUMBER}\.(\d)\s*$", r"bar \1 beat \2"),
    (rf"(?:\bb(?:ars?|\.)?\s*)?\b{_NUMBER}\s*,?\s*\(?beats?\s+(\d){_TO}(\d)\)?",
     r"bar \1 beat \2 - bar \1 beat \3"),
    (rf"\bbeats\s+(\d){_TO}(\d)\s+(?:of|in)\s+(?:bar\s+|b\.\s*)?{_NUMBER}",
     r"bar \3 beat \1 - bar \3 beat \2"),
    (r"\(\s*(beat\s+\d)\s*\)", r"\1"),
    (r"^\s*(?-i:([A-Z]))\s*[-–]\s*(?-i:([A-Z]))\s*$", r"from \1 to \2"),
)  # fmt: skip
_ENDS = re.compile(r"^[@\s.:,()]*$")
_PASSES = ("first", "second", "third")


@dataclass(frozen=True, slots=True)
class SaidPlace:
    """Bars (indices, inclusive) and ticks (end exclusive); `whole`: no beats were named.

    `number` is the pass, `notes` tell how a place was counted ("3 after C is bar 45: ...").
    """

    movement: int
    first: int
    last: int
    start: int
    end: int
    whole: bool = True
    number: int | None = None
    notes: tuple[str, ...] = ()


def movement_said(text: str, count: int) -> tuple[int | None, str]:
    """The movement a place begins with ("II: 9-12"), 0-based, and the rest of the words.

    Raises ClaimNotUnderstood for one that is not there.
    """
    found = _MOVEMENT.match(text)
    if found is None:
        return None, text
    number = int(found["number"] or found["nth"] or 0) or _value(found["roman"])
    if not 1 <= number <= count:
        has = "one movement" if count == 1 else f"{count} movements"
        raise ClaimNotUnderstood(f"There is no movement {number}; this score has {has}.")
    return number - 1, text[found.end() :]


def roman(movement: int) -> str:
    """ "II" of the movement with index 1."""
    tens, rest = divmod(movement + 1, 10)
    return "X" * tens + ("", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX")[rest]


def _value(numeral: str) -> int:
    values = [_ROMAN[c] for c in numeral.upper()]
    after = [*values[1:], 0]
    return sum(-v if v < w else v for v, w in zip(values, after, strict=True))


def read_place(text: str, table: ScoreTable, movement: int = 0) -> SaidPlace:
    """Find the one place that is typed.

    Parameters
    ----------
    text : str
    table : ScoreTable
    movement : int, default 0
        0-based; one that is typed ("II: 9") wins.

    Raises
    ------
    ClaimNotUnderstood
        With what to write, or with a question ("From bar 9 up to which bar?").
    """
    named, rest = movement_said(text, len(table.movements))
    movement = movement if named is None else named
    for pattern, plain in _SHORT:
        rest = re.sub(pattern, plain, rest, flags=re.IGNORECASE)
    asked = ""
    for lead in ("bar ", "") if _BARE.match(rest) else ("", "at "):
        cut = cut_places(f"{lead}{rest.strip()}", table, movement)
        if len(cut.places) == 1 and not cut.questions and _ENDS.match(cut.text):
            return _found(cut.places[0], cut.notes, table, movement)
        asked = asked or " ".join(dict.fromkeys(cut.questions))
    raise ClaimNotUnderstood(asked or "Write bars such as 24-31, 9, or 3 after C.")


def _found(place: Any, notes: list[str], table: ScoreTable, movement: int) -> SaidPlace:
    span = places.resolve(place, table, movement)
    bars = table.bars
    whole = (span.start, span.end) == (bars[span.first].start, bars[span.last].end)
    told = tuple(n for n in (span.note, *notes) if n)
    number = span.passes[0] or span.passes[1]
    return SaidPlace(movement, span.first, span.last, span.start, span.end, whole, number, told)


def place_json(
    table: ScoreTable, start: int, end: int, number: int | None = None
) -> dict[str, Any] | list[str]:
    """PLACE of a stretch of time (ticks, end exclusive), in a pass if one is meant."""
    place: Any = pause_json(table, start, end)
    if number is None:
        return place  # type: ignore[no-any-return]
    if not isinstance(place, Mapping):
        place = {"from": {"bar": place[0]}, "to": {"bar": place[-1]}}
    return {side: {**place[side], "pass": number} for side in ("from", "to")}


def as_typed(place: Any, table: ScoreTable, movement: int = 0) -> str:
    """A PLACE in words that `read_place` reads back; "" where there are none for it."""
    span = places.resolve(place, table, movement)
    text = _words(span, place, table)
    if len(table.movements) > 1 and span.movement:
        text = f"{roman(span.movement)}: {text}"
    if number := (span.passes[0] or span.passes[1]):
        if number > len(_PASSES):
            return ""
        text += f", {_PASSES[number - 1]} time"
    try:
        again = read_place(text, table)
    except ClaimNotUnderstood:
        return ""
    same = (again.start, again.end, again.number or None) == (span.start, span.end, number or None)
    return text if same else ""


def _words(span: places.Span, place: Any, table: ScoreTable) -> str:
    first, last = table.bars[span.first], table.bars[span.last]
    if (span.start, span.end) == (first.start, last.end):
        return first.label if span.first == span.last else f"{first.label}-{last.label}"
    json = pause_json(table, span.start, span.end)
    if not isinstance(json, Mapping):
        return first.label
    one, two = (f"bar {p['bar']} beat {p['beat']:g}" for p in (json["from"], json["to"]))
    return one if one == two else f"{one} - {two}"
