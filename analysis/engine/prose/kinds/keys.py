""" "In F major", "arrives in D minor", "from C major by way of A minor to G major"."""

from __future__ import annotations

import re

from analysis.engine.prose.phrase import Found, groups_in, has
from analysis.engine.prose.sentence import Sentence, folded

_KEY = re.compile(
    r"\b([a-h])(?:[\s-]?(flat|sharp|#|(?<!\ba )b|(?<! )es|(?<! )is))?[\s-]?(major|minor|dur|moll|maj|min|maggiore|minore"
    r"|majeur|mineur)\b"
)
_SYLLABLES = {
    "do": "C",
    "ut": "C",
    "re": "D",
    "mi": "E",
    "fa": "F",
    "sol": "G",
    "la": "A",
    "si": "B",
}
_SUNG = re.compile(
    r"\b(do|ut|re|mi|fa|sol|la|si)(?:[\s-](diese?|diesis|bemolle?|bemol))?[\s-]"
    r"(majeur|mineur|maggiore|minore|major|minor)\b"
)
#: In a route a capital by itself is a major key.
_BARE = re.compile(
    r"(?:\b(?:[Tt]o|[Ii]nto|[Vv]ia|[Tt]hrough|and|then|finally)|->|→)\s+([A-G])(?:[\s-](flat|sharp)|([b#♭♯]))?"
    r"(?![\w#-]|\s+(?:major|minor|flat|sharp|dur|moll|maj|min)\b)"
)
#: "D - G - A major": a chain of capitals that ends in a key.
_CHAIN = re.compile(
    r"(?<![\w-])((?:[A-G](?:b|#|-flat|-sharp)?\s*(?:-|–|—|->|→|,|>)\s*){1,5})(?=[A-G](?:[\s-]?(?:flat|sharp|b|#|♭|♯))?\s+(?:major|minor)\b)"
)
#: The keys between are named after the goal.
_BY_WAY = re.compile(
    r"(?P<goal>\b[Tt]o\b[^,;]{3,20}?)\s*,?\s*\b(?P<via>by way of|via|passing (?:through|by)|through)\b"
)
_MODE = {"dur": "major", "maj": "major", "maggiore": "major", "majeur": "major",
         "moll": "minor", "min": "minor", "minore": "minor", "mineur": "minor"}  # fmt: skip
_ARRIVES = r"\b(?:arriv\w+|reach\w*|gets? (?:\w+ ){0,3}to|comes? (?:\w+ ){0,3}to|returns? (?:\w+ ){0,2}to|back (?:home )?to|modulat\w+|moves? to|turns? to|cadences? (?:in|on)|goes to|change\w* to|ends? in|lands? in)\b"


def _keys(s: Sentence) -> list[str]:
    return _told_once([name for _, name in _keys_at(s.short)])


def _told_once(keys: list[str]) -> list[str]:
    """A key named twice running is one: "h minor (B minor in English)"."""
    return [key for i, key in enumerate(keys) if i == 0 or key != keys[i - 1]]


def _keys_at(text: str) -> list[tuple[int, str]]:
    found = []
    for match in _KEY.finditer(text):
        letter, sign, mode = match.groups()
        alter = {"flat": "-flat", "b": "-flat", "es": "-flat", "sharp": "-sharp", "#": "-sharp",
                 "is": "-sharp"}.get(sign, "")  # fmt: skip
        tonic = {"h": "b"}.get(letter, letter)
        found.append((match.start(), f"{tonic.upper()}{alter} {_MODE.get(mode, mode)}"))
    for match in _SUNG.finditer(text):
        syllable, sign, mode = match.groups()
        alter = {"b": "-flat", "d": "-sharp"}.get((sign or "")[:1], "")
        tonic = _SYLLABLES[syllable]
        found.append((match.start(), f"{tonic}{alter} {_MODE.get(mode, mode)}"))
    return sorted(found)


def read(s: Sentence) -> Found | None:
    """See the module."""
    keys = _keys(s)
    if len(keys) != 1 or groups_in(s) or has(r"\b(?:chord|triad|scale|arpeggio)\b", s):
        return None
    return key_of(s)


def key_of(s: Sentence) -> Found | None:
    """The one key that is named, and whether it is reached."""
    keys = _keys(s)
    if len(keys) != 1:
        return None
    asked = []
    if re.search(r"\ba (?:minor|major) (?:key|mode|tonality|harmony|sound|colou?r)\b", s.raw):
        asked = ["Which key: what is its tonic?"]
    if has(
        r"\b(?:away from|leav(?:es?|ing)|left|out of|departs?|quits?|abandons?|(?:i|ii|iii|iv|v|vi|vii|dominant|subdominant|tonic)7?(?: (?:7th|seventh|chord|triad|harmony))* of)\b",
        s,
    ):
        asked.append("Which key is it in, or does it reach?")
    return Found({"key": keys[0], "how": "arrives" if has(_ARRIVES, s) else "region"}, (), asked)


def read_route(s: Sentence) -> Found | None:
    """Two keys or more, in the order named."""
    if not _keys(s) or groups_in(s) or has(r"\b(?:chord|triad|scale|arpeggio)\b", s):
        return None
    keys = _keys_at(folded(s.raw))
    for match in _BARE.finditer(s.raw):
        if re.search(r"(?:\b[Uu]p|\b[Ff]rom [A-Z])\s*$", s.raw[: match.start()]):
            continue  # a place
        alter = {"f": "-flat", "b": "-flat", "♭": "-flat", "s": "-sharp", "#": "-sharp",
                 "♯": "-sharp"}.get((match[2] or match[3] or "")[:1], "")  # fmt: skip
        keys.append((match.start(1), f"{match[1]}{alter} major"))
    for chain in _CHAIN.finditer(s.raw):
        keys += [
            (
                chain.start(1) + m.start(),
                f"{m[1]}{'-flat' if m[2] in ('b', '-flat') else '-sharp' if m[2] else ''} major",
            )
            for m in re.finditer(r"([A-G])(b|#|-flat|-sharp)?", chain[1])
        ]
    order = sorted(set(keys))
    if by := _BY_WAY.search(s.raw if len(folded(s.raw)) == len(s.raw) else ""):
        before = [key for key in order if key[0] < by.start("via")]
        if before and by["goal"] and len(before) < len(order):  # "to A major by way of B minor"
            order = [*before[:-1], *order[len(before) :], before[-1]]
    named = _told_once([name for _, name in order])
    return Found({"keys": named}) if len(named) > 1 else None
