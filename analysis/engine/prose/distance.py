"""Octave words: how far apart, which way, or on how many levels.

"Three octaves below" counts the distance, "in three octaves" the levels (contracts of the
statement kinds): they become [down:3] and [levels:3].
"""

from __future__ import annotations

import re

_N = {"a": 1, "an": 1, "one": 1, "1": 1, "two": 2, "2": 2, "double": 2, "three": 3, "3": 3,
      "triple": 3, "four": 4, "4": 4, "the": 1, "eine": 1, "zwei": 2,
      "drei": 3, "un": 1, "une": 1, "una": 1, "deux": 2, "due": 2, "trois": 3, "tre": 3}  # fmt: skip
_COUNT = (
    r"(an?|the|one|two|double|three|triple|four|eine|zwei|drei|un[ae]?|deux|due|trois|tre|[1-4])"
)
_OCTAVE = r"(?:octaves?|oktaven?|8ves?|8vas?|8tv?s?|ottav[ae])"
_DOWN = (
    r"(?:lower|below|down|under(?:neath)?|beneath|deeper|tiefer|unter|sotto|piu bass[ao]|inferieure?s?|inferiore?|grave"
    r"|plus bas|au[ -]dessous|en dessous)"
)
_UP = (
    r"(?:higher|above|up|over|hoher|uber|sopra|piu alt[ao]|superieure?s?|superiore|plus haut|au[ -]dessus"
    r"|en dessus)"
)
_AT = r"(?:at|in) the "
_TURNS: tuple[tuple[str, str], ...] = (
    (rf"\b(?:un'|l'|all'|dell'|a l'|{_AT}){_OCTAVE}\s+{_DOWN}\b", "down1"),
    (rf"\b(?:un'|l'|all'|dell'|a l'|{_AT}){_OCTAVE}\s+{_UP}\b", "up1"),
    (r"\bin der (?:unteren|tieferen) oktave\b", "down1"),
    (r"\bin der (?:oberen|hoheren) oktave\b", "up1"),
    (r"\b(?:octave|8ve)[\s-](?=doubl|coupl)", "apart1"),
    (rf"\b{_COUNT}[\s-]{_OCTAVE}\s+{_DOWN}\b", "down"),
    (rf"\b{_COUNT}[\s-]{_OCTAVE}\s+{_UP}\b", "up"),
    (r"\b(?:at|in)\s+the\s+(?:lower octave|lower(?! [a-z])|octave below)\b", "down1"),
    (r"\b(?:at|in)\s+the\s+(?:(?:upper|higher) octave|(?:upper|higher)(?! [a-z])|octave above)\b", "up1"),
    (r"\b(?:8va|8a|8)\s*(?:bassa|sotto|b\b)|\b8vb\b", "down1"),
    (r"(?<!\w)8va(?:\s+alta)?\b", "up1"),  # as over a stave
    (r"\b(?:in|over|across|through|on)\s+(two|three|four|[2-4])\s+octaves?(?:\s+levels)?\b", "levels"),
    (rf"\b(?:at|in)?\s*{_COUNT}[\s-]octaves?\s+(?:apart|distance|away)\b", "apart"),
    (r"\b(?:at|in)\s+(?:a|the)\s+(double|triple)[\s-]octaves?\b", "apart"),
    (r"\bin\s+(double|triple)[\s-]octaves\b", "apart"),
    (rf"(?<=[,(+=:])\s*{_OCTAVE}\s+{_DOWN}\b", "down1"),
    (rf"(?<=[,(+=:])\s*{_OCTAVE}\s+{_UP}\b", "up1"),
    (rf"\b(?:at|in)\s+(?:the\s+|parallel\s+)?{_OCTAVE}\b|\b(?:all'|a l')(?:octave|ottava)\b"
     rf"|(?<=[,(+=:])\s*{_OCTAVE}\b(?!\s+(?:{_UP}|{_DOWN})\b)"
     r"|\bin (?:der )?oktaven?\b|\ben octaves\b|\bin ottave\b", "apart1"),
    (r"\b(?:in|at)\s+(?:the\s+)?(?:same\s+)?(?:unison|same octave|same pitch)\b|\b(?:in|at)\s+(?:the\s+)?same\s+pitch\b|\bat\s+pitch\b|(?<=[,(=:])\s*(?:(?:the )?same octave)\b|\ball'unisono\b|\ba l'unisson\b|\bim (?:einklang|unisono)\b"
     r"|\buniss?(?:on(?:o|s)?)?\b\.?", "apart0"),
)  # fmt: skip
_COMPILED = [(re.compile(pattern), what) for pattern, what in _TURNS]


def mark_distances(text: str) -> str:
    """The text with its octave words as tokens."""
    for pattern, what in _COMPILED:
        kind, fixed = what.rstrip("01"), what[len(what.rstrip("01")) :]

        def token(match: re.Match[str], kind: str = kind, fixed: str = fixed) -> str:
            n = int(fixed) if fixed else _N[match.group(1)]
            return f" [{kind}:{n}] "

        text = pattern.sub(token, text)
    return re.sub(r"\s+", " ", text).strip()
