"""Player and section numbers of a label: "I. II.", "1.2.", "2 Flauti", "3 u. 4"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

_ROMAN = {"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6, "vii": 7, "viii": 8}
_ORDINALS = {
    "first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6,
    "primo": 1, "prima": 1, "primi": 1, "prime": 1, "secondo": 2, "seconda": 2, "secondi": 2,
    "seconde": 2, "terzo": 3, "terza": 3, "quarto": 4, "quarta": 4,
    "erste": 1, "erster": 1, "erstes": 1, "ersten": 1, "zweite": 2, "zweiter": 2, "zweites": 2,
    "zweiten": 2, "dritte": 3, "dritter": 3, "drittes": 3, "vierte": 4, "vierter": 4, "viertes": 4,
    "premier": 1, "premiers": 1, "premiere": 1, "premieres": 1, "deuxieme": 2, "second(e)": 2,
    "seconds": 2, "secondes": 2, "troisieme": 3, "quatrieme": 4, "imo": 1, "ima": 1, "io": 1,
    "iio": 2, "iido": 2, "iida": 2, "iiio": 3, "ivo": 4, "primus": 1,
}  # fmt: skip
_CARDINALS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "due": 2, "tre": 3, "quattro": 4, "zwei": 2,
    "drei": 3, "vier": 4, "deux": 2, "trois": 3, "quatre": 4, "ein": 1, "eine": 1,
}  # fmt: skip
_ENDING = re.compile(
    r"(\d+)"
    r"(st|nd|rd|th|o|a|do|da|mo|ma|to|ta|ers?|eres?|res?|es?|emes?|iemes?|te)$"
)
_BETWEEN = frozenset((",", "/", "&", "+", "-", "e", "ed", "und", "u", "and", "et", "bis", "to"))
#: More would be a bar, a year or a slip ("Horn 12" = horns 1 and 2?).
_MOST = 8


@dataclass(frozen=True, slots=True)
class NumberReading:
    """Numbers in order, or a count ("2 Flauti"), and the tokens they stood in."""

    numbers: tuple[int, ...] = ()
    count: int = 0
    odd: str = ""  # a number that makes no sense
    used: tuple[int, ...] = ()


def read_numbers(
    tokens: Sequence[tuple[int, str, bool]], name_at: int, *, section: bool
) -> NumberReading:
    """Find the numbers among tokens (index, plain text, dotted).

    Parameters
    ----------
    tokens : sequence
        Those not yet understood, in order.
    name_at : int
        Index of the instrument's name: a plain number before it is a count
        ("2 Flauti"), one with a point or an ending an ordinal ("1. Flöte").
    section : bool
        A section of many players: "2 Violinen" is no pair of players.
    """
    found: list[int] = []
    used: list[int] = []
    count, odd, joined_by_dash = 0, "", False
    for place, (index, text, dotted) in enumerate(tokens):
        number, ordinal = _number(text, dotted)
        if number is None:
            if text in _BETWEEN and found and _number_follows(tokens, place):
                joined_by_dash = text in ("-", "bis", "to")
                used.append(index)
            continue
        used.append(index)
        before_name = index < name_at
        if before_name and not ordinal and not _number_beside(tokens, place):
            count = number
        elif number > _MOST:
            odd = text
        elif joined_by_dash and found:
            found.extend(range(found[-1] + 1, number + 1))
        else:
            found.append(number)
        joined_by_dash = False
    if count > _MOST or (section and count == 1):
        count = 0
    return NumberReading(tuple(dict.fromkeys(found)), count, odd, tuple(used))


def _number(text: str, dotted: bool) -> tuple[int | None, bool]:
    """A number, and whether it is an ordinal."""
    if text.isdigit():
        return int(text), dotted
    if text in _ROMAN:
        return _ROMAN[text], True
    if text in _ORDINALS:
        return _ORDINALS[text], True
    if text in _CARDINALS:
        return _CARDINALS[text], False
    match = _ENDING.match(text)
    return (int(match.group(1)), True) if match else (None, False)


def _number_follows(tokens: Sequence[tuple[int, str, bool]], place: int) -> bool:
    later = tokens[place + 1 : place + 2]
    return bool(later) and _number(later[0][1], later[0][2])[0] is not None


def _number_beside(tokens: Sequence[tuple[int, str, bool]], place: int) -> bool:
    """ "1, 2 Flöte": a list before the name is no count."""
    here = tokens[place][0]
    near = [*tokens[max(place - 1, 0) : place], *tokens[place + 1 : place + 2]]
    return any(
        abs(index - here) == 1 and (_number(text, dotted)[0] is not None or text in ",/&+-")
        for index, text, dotted in near
    )
