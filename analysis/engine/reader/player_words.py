"""Words over a staff that say who plays: "1.", "a 2", "div.", "Vc.", "col Basso".

After trade-facts 7.2; the languages are English, Italian, German, French.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

Sign = Literal[
    "numbers",  # only these players
    "together",  # a 2: the same notes for all
    "each",  # 1. 2.: all play, stems tell who has what
    "solo",  # one player or simply prominent
    "soli",
    "tutti",
    "div",
    "unis",
    "non-div",
    "cellos",
    "basses",
    "cellos-and-basses",
    "col",  # copy another part
    "copy",  # come sopra, simile: as before
    "tacet",
]


@dataclass(frozen=True, slots=True)
class PlayerWord:
    """One instruction; `numbers` for numbers, together and div, `other` for col."""

    sign: Sign
    numbers: tuple[int, ...] = ()
    other: str = ""
    solo: bool = False  # "1 solo", not "1." alone


_COUNT = {"2": 2, "due": 2, "deux": 2, "3": 3, "tre": 3, "trois": 3, "4": 4, "quattro": 4}
_ROMAN = {"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6, "vii": 7, "viii": 8}
_ORDINAL = {
    "primo": 1, "prima": 1, "secondo": 2, "seconda": 2, "terzo": 3, "quarto": 4,
    "premier": 1, "first": 1, "second": 2, "erste": 1, "zweite": 2, "1mo": 1, "2do": 2,
    "imo": 1, "iido": 2, "1st": 1, "2nd": 2, "3rd": 3, "4th": 4, "1er": 1,
}  # fmt: skip
_SOLO = {"solo", "sola", "allein", "alone"}
_SOLI = {"soli"}
_AND = {"e", "ed", "u", "und", "et", "and", "&", "+"}
#: After a number these make it something else: first time, tempo primo, a desk.
_NO_PLAYER = re.compile(r"\b(volta|tempo|thema|time|fois|mal|pult|desk|leggio|corda|movimento)\b")

_TOGETHER = re.compile(
    r"^(?:\(|\[)?(?:a|à|zu|&)\s*\.?\s*(2|3|4|due|tre|quattro|deux|trois)\b|\bbeide\b"
)
_DIV = re.compile(r"\b(?:div(?:isi|is[ée]s|\.|\b)|get(?:eilt|h\.|\.))(?:\s*(?:a|in|à|en)\s*(\d))?")
_NON_DIV = re.compile(r"\b(?:non|nicht|pas)\s+(?:div|get|un\.)")
_UNIS = re.compile(r"\b(?:unis|unisoni|unisono|zusammen|zus\.)")
_VC = r"(?:v(?:iolon)?c(?:ell[oi]|elles?|\.)?|vlc|vcl|celli|cellos?|v(?:iol(?:onc)?)?\.?c)(?!\w)\.?"
_CB = r"(?:c(?:ontra)?b(?:b|b?ass[oi]|asses?)?|contrab|kb|kontrab[äa]ss(?:e|es)?|bass[oi]|basses|d\.?\s?b|b)(?!\w)\.?"  # noqa: E501
_ALONE = (
    r"(?:\s*(?:sol[oi]|alone|only|allein|seule?s?))?(?:\s+(?:pizz|arco|div|con|dolce|espr).*)?$"
)
_LOW: tuple[tuple[re.Pattern[str], Sign], ...] = (
    (re.compile(rf"^{_VC}\s*(?:e|ed|und|u\.|et|and|&|\+|con|c\.)\s*{_CB}"), "cellos-and-basses"),
    (re.compile(rf"\b(?:con|col|coi|c\.|mit|avec|with)\s*{_CB}"), "cellos-and-basses"),
    (re.compile(rf"^(?:senza|sans|ohne|without)\s*(?:i\s+)?{_CB}"), "cellos"),
    (re.compile(rf"^{_CB}\s*(?:tacet|tacent|tacciono)"), "cellos"),
    (re.compile(rf"^(?:senza|sans|ohne|without)\s*(?:i\s+)?{_VC}"), "basses"),
    (re.compile(r"^bassi\.?$"), "cellos-and-basses"),
    (re.compile(r"^tutti\b"), "cellos-and-basses"),
    (re.compile(rf"^(?:solo\s+)?{_VC}{_ALONE}"), "cellos"),
    (re.compile(rf"^(?:solo\s+)?{_CB}{_ALONE}"), "basses"),
)
_COL = re.compile(
    r"^(?:\w+\.?\s+)?(?:coll?['’]?\s*|colla\s+|coi\s+|con\s+(?:la|il|i)\s+|c\.\s*|mit\s+|avec\s+)"
    r"(bass[oi]|b\.|vl\.?|viol\w*\.?|v\.|vla\.?|violoncell\w*|vc\.?|fag\w*\.?|ob\w*\.?|fl\w*\.?"
    r"|clar\w*\.?|cl\.?|cor\w*\.?|tr\w*\.?|alto|basse)\s*((?:\d|i{1,3})\b)?"
)
_COPY = re.compile(r"\b(?:come sopra|comme ci-dessus|wie oben|simil[ei]|sim\.)")
_TACET = re.compile(r"^(?:tacet|tacent|tace)\b")
_TUTTI = re.compile(r"^\W*(?:tutti|ripieno|rip\.|alle)\b")


def read_words(text: str, *, low_strings: bool = False) -> PlayerWord | None:
    """What `text` says about who plays; None if it says nothing of the kind.

    Parameters
    ----------
    text : str
        One phrase as printed.
    low_strings : bool, default False
        The staff is shared by cellos and basses: "Vc.", "Bassi", "senza Cb." count.

    Examples
    --------
    >>> read_words("a 2")
    PlayerWord(sign='together', numbers=(2,), other='', solo=False)
    >>> read_words("II. Solo").numbers
    (2,)
    >>> read_words("1. volta") is None
    True
    """
    plain = " ".join(text.casefold().split()).strip("()[] ")
    if not plain:
        return None
    if low_strings:
        for pattern, sign in _LOW:
            if pattern.search(plain):
                return PlayerWord(sign)
    if match := _COL.match(plain):
        return PlayerWord("col", other=" ".join(filter(None, match.groups())))
    if _COPY.search(plain):
        return PlayerWord("copy")
    if match := _TOGETHER.search(plain):
        count = _COUNT.get(match.group(1) or "2", 2)
        return PlayerWord("together", (count,))
    if _NON_DIV.search(plain):
        return PlayerWord("non-div")
    if match := _DIV.search(plain):
        return PlayerWord("div", (int(match.group(1) or 2),))
    if _UNIS.search(plain):
        return PlayerWord("unis")
    if _TACET.match(plain):
        return PlayerWord("tacet")
    if _TUTTI.match(plain):
        return PlayerWord("tutti")
    return _numbered(plain)


def _numbered(plain: str) -> PlayerWord | None:
    """ "1.", "I. Solo", "1. 2.", "primo", "2 solo", "Solo"."""
    if _NO_PLAYER.search(plain) or "tasto" in plain:
        return None
    spaced = re.sub(r"(?<=[.oº°])(?=[\divx])|[,/]", " ", plain)
    numbers: list[int] = []
    solo = soli = marked = False
    tokens = spaced.split()
    for position, token in enumerate(tokens):
        value, certain = _number(token)
        if value:
            numbers.append(value)
            marked = marked or certain
        elif token.strip(".") in _SOLO:
            solo = True
        elif token.strip(".") in _SOLI:
            soli = True
        elif token not in _AND:
            # "1. dolce": the number leads, other words follow.
            if not (numbers and marked and position):
                return None
            break
    if numbers and (marked or solo or soli):
        unique = tuple(dict.fromkeys(numbers))
        sign: Sign = "numbers" if len(unique) == 1 or solo else "each"
        return PlayerWord(sign, unique, solo=solo)
    if solo:
        return PlayerWord("solo")
    if soli:
        return PlayerWord("soli")
    return None


def _number(token: str) -> tuple[int, bool]:
    """A player's number, and whether it is marked as one (a point, a roman or ordinal form)."""
    bare = token.strip("()[]").rstrip(".")
    if bare in _ORDINAL:
        return _ORDINAL[bare], True
    ordinal = re.fullmatch(r"(\d|[ivx]+)[oº°ᵒ]", bare)
    if ordinal:
        word = ordinal.group(1)
        return (int(word) if word.isdigit() else _ROMAN.get(word, 0)), True
    if bare in _ROMAN:
        # A lone "v" or "vi" is more likely something else.
        return (_ROMAN[bare], True) if _ROMAN[bare] <= 4 or token.endswith(".") else (0, False)
    if re.fullmatch(r"[1-9]", bare):
        return int(bare), token.rstrip(")]").endswith(".")
    return 0, False
