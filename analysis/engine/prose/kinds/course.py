""" "Bassoon 1 goes with the cellos in 1-4, then with the violas in 5-8": with whom, step by step."""

from __future__ import annotations

import re
from itertools import pairwise

from analysis.engine import places
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.prose.phrase import JSON, Found
from analysis.engine.prose.sentence import Sentence

_NEXT = re.compile(
    r"\s*(?:[,;.]|\band\b|\b(?:then|after that|afterwards|later(?: on)?|next|finally|subsequently)\b)+\s*"
)
_WITH = r"(?:with|doubl(?:es?|ing)|joins?|follows?)"
_ALONE = r"\b(?:alone|by itself|by themselves|on (?:its|their) own|unaccompanied)\b"
#: What may stand in a step beside its bars and its company.
_STEP = re.compile(
    rf"(?:\b(?:goes|go|moves?|plays?|playing|is|are|stays?|it|they|again|first|at first|only|also|just|from|on|in|to)\b"
    rf"|\b{_WITH}\b|<\d+>|@|\[\w+:\d\]|{_ALONE}|[\s:(),-])*"
)


def read(s: Sentence) -> Found | None:
    """Two steps or more, each with its bars and its company."""
    who = re.match(r"\W*<(\d+)>\s*:?", s.short)
    if who is None or s.negated or len(s.places) < 2:
        return None
    pieces = [piece for piece in _NEXT.split(s.short[who.end() :]) if piece.strip(" ,;.")]
    if len(pieces) != len(s.places) or not re.search(rf"\b{_WITH}\b|{_ALONE}", pieces[0]):
        return None
    steps: list[JSON] = []
    company: list[str] = []
    for piece, place in zip(pieces, s.places, strict=True):
        tokens = re.findall(r"<(\d+)>", piece)
        alone = re.search(_ALONE, piece) is not None
        whole = piece.count("@") == 1 and len(tokens) == (0 if alone else 1)
        if not whole or not _STEP.fullmatch(piece):
            return None
        step: JSON = {"bars": place, "with": s.parts(*tokens)}
        if (apart := re.search(r"\[(up|down|apart):(\d)\]", piece)) is not None:
            step["octaves"] = int(apart[2]) * (-1 if apart[1] == "down" else 1)
        steps.append(step)
        company += tokens
    try:
        spans = [places.resolve(place, s.table, s.movement) for place in s.places]
    except ClaimNotUnderstood:
        return None
    if any(a.last >= b.first for a, b in pairwise(spans)):
        return None
    fields: JSON = {
        "parts": s.parts(who[1]), "steps": steps,
        "bars": places.place_of(s.table, spans[0].first, spans[-1].last),
    }  # fmt: skip
    return Found(fields, (who[1], *company))
