""" "Oboes in thirds", "clarinet a sixth below the flute"."""

from __future__ import annotations

from analysis.engine.prose.phrase import Found, groups_in, search
from analysis.engine.prose.sentence import Sentence

#: Words of an interval, in the languages of scores.
_WORDS = {
    "third": "thirds?|3rds?|terz(?:e|en)?|tierces?",
    "sixth": "sixths?|6ths?|sest[ae]|sexten?|sixtes?",
    "tenth": "tenths?|10ths?|decim[ae]|dezimen?|dixiemes?",
}
_LEAD = r"\b(?:in|parallel|a|an|at the|at a|by|en|per|mit)(?: parallel(?:en?|i|a)?)? "

AFTER = r"\b(?:repeat\w*|restat\w*|imitat\w*|answer\w*|later)\b"


def interval_words(s: Sentence) -> list[str]:
    """The intervals that are named anywhere."""
    return [
        name
        for name, words in _WORDS.items()
        if search(rf"(?<![\w<])(?:{words})\b(?! (?:of the|horn|time|part|beat))", s)
    ]


def read(s: Sentence) -> Found | None:
    """See the module."""
    named = [name for name, words in _WORDS.items()
             if search(rf"(?:{_LEAD}|(?<=> )(?=\w+s\b))(?:{words})\b(?! (?:of the|horn|time|part|beat))", s)]  # fmt: skip
    tokens = groups_in(s)
    if not named or not tokens:
        return None
    if len(named) > 1 or len(interval_words(s)) > 1:
        asked = ["Thirds, sixths or tenths: say each as a statement of its own."]
        fields = {"parts": s.parts(*tokens), "with": [], "interval": named[0]}
        return Found(fields, tuple(tokens), asked)
    if len(tokens) == 2:
        one, other = tokens
        fields = {"parts": s.parts(one), "with": s.parts(other), "interval": named[0]}
        asked = ["Do they move together, or one after the other?"] if search(AFTER, s) else []
        return Found(fields, (one, other), asked)
    if len(tokens) > 2:
        return None
    names = s.sides(tokens[0])
    if len(names) >= 2:
        fields = {"parts": list(names[:-1]), "with": [names[-1]], "interval": named[0]}
        return Found(fields, (tokens[0],))
    fields = {"parts": list(names), "with": [], "interval": named[0]}
    return Found(fields, (tokens[0],), [f"In {named[0]}s with whom? Name both lines."])
