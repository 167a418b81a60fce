""" "Timpani reinforce only the downbeats of the basses", "horns accent the violins"."""

from __future__ import annotations

import re

from analysis.engine.prose.phrase import JSON, Found, has, search
from analysis.engine.prose.sentence import Sentence

_VERB = r"(?:reinforc(?:es?|ing)|accents?|accentuat(?:es?|ing)|stress(?:es)?|underlin(?:es?|ing)|marks? the (?:beats?|accents?|downbeats?) of|strengthens?|picks? out|punch(?:es)?|(?:adds?|gives?|puts?|lends?|places?) (?:\w+ ){0,2}(?:accents?|weight|stress|emphasis)(?= (?:to|on|onto|in)\b)|supports?(?=.*beats?\b)|doubl(?:es?|ing)(?= (?:only|just) (?:the |its |their )?(?:first|strong|accented|down|main beats)))"
#: A line met on some beats alone: "double it, but only on the first beats".
_ONLY_BEATS = (
    r"\b(?:only|just|merely|no more than|nothing but)\b (?:~)?\b(?:beats?|downbeats?|accents?|beat \d|first notes?|strong notes?)\b"
    r"|\b(?:beats?|downbeats?) (?:\d )?(?:only|alone)\b"
).replace("~", r"[^<;@]{0,40}?")
#: Notes or accents of which it is not said where they stand.
_A_FEW = (
    r"\b(?:some|a few|few|several|certain|occasional|selected|individual|isolated|single|a couple of|here and there)\b"
    r"(?: (?!bars?\b)\w+){0,2} (?:notes?|tones?|pitches|accents?|attacks?)\b"
)
_ATTACK = r"\b(?:accent\w*|attacks?|weight|emphasis|stress\w*|punch\w*|rhythm\w*)\b"


def read(s: Sentence) -> Found | None:
    """See the module."""
    match = search(rf"A! ~{_VERB} ~B!", s)
    if match is None and has(_ONLY_BEATS, s):
        match = search(
            r"A! ~\b(?:doubl|support|follow|join|help|hit|play|strik|sound|enter|attack)\w* ~B!", s
        )
    if match is not None:
        side, line = match["a"], match["b"]
    else:
        match = search(
            r"A! ~(?:reinforced|accented|stressed|strengthened|underlined)(?: ~)? by ~B!", s
        )
        if match is None:
            return None
        side, line = match["b"], match["a"]
    return of(s, side, line)


def of(s: Sentence, side: str, line: str) -> Found | None:
    """The fields where it is known who supports whom."""
    beats = has(r"\bbeats?\b|\bdownbeats?\b|\bfirst notes? (?:of|in) (?:each|every)\b", s)
    picked = has(r"\bpick(?:s|ing)? out\b", s) and has(_A_FEW, s)
    if (
        re.search(r"\[(?:up|down|apart):\d\]", s.short)
        and not picked
        and not beats
        and not has(_ATTACK, s)
    ):
        return None  # a line strengthened at a distance, not some of its notes: a doubling
    attack = has(_ATTACK, s)
    fields: JSON = {
        "parts": s.parts(side),
        "with": s.parts(line),
        "by": "accent" if attack else "pitch",
    }
    if has(
        r"\b(?:downbeats?|first beats?|strong beats?|first notes? (?:of|in) (?:each|every))\b", s
    ):
        fields["beats"] = [1]
    elif on := search(
        r"\b(?:on (?:the )?(?:beats? )?|beats? )(?P<beats>\d(?:(?:,| and|, and) \d)*)\b", s
    ):
        fields["beats"] = [int(n) for n in re.findall(r"\d", on["beats"])]
    asked = [] if "beats" in fields or has(_A_FEW, s) else ["On which beats of the bar?"]
    return Found(fields, (side, line), asked)
