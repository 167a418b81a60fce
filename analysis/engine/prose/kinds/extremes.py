""" "The flute's highest note of the movement is A6"."""

from __future__ import annotations

from analysis.engine.prose.notes import PITCH, PITCH_WITH_OCTAVE, called
from analysis.engine.prose.phrase import Found, search
from analysis.engine.prose.sentence import Sentence

_WHICH = r"highest|lowest|top|bottom|deepest"

_WITHIN = r"\b(?:(?:of|in|for|over|throughout|across|within|during|all) )?(?:the|this) (?:(?:whole|entire|complete|full) )?"


def read(s: Sentence) -> Found | None:
    """See the module."""
    match = search(
        rf"\b(?P<which>{_WHICH}) (?:(?:written|notated|sounding) )?(?:note|pitch|tone)\b", s
    ) or search(
        rf"\b(?:its|their|the) (?P<which>{_WHICH})\b(?= (?:of|in|here|so far)\b|\W*(?:@|$))", s
    )
    who = search(r"A!", s)
    if match is None or who is None:
        return None
    extreme = "highest" if match["which"] in ("highest", "top") else "lowest"
    return of(s, who["a"], extreme)


def of(s: Sentence, token: str, extreme: str) -> Found:
    """The fields where it is known whose extreme it is."""
    within = "passage"
    if search(rf"{_WITHIN}(?:movement|mvt|mov)\b", s):
        within = "movement"
    elif search(rf"{_WITHIN}(?:work|piece|symphony|score)\b", s):
        within = "work"
    fields = {"parts": s.parts(token), "extreme": extreme, "within": within}
    pitch = (
        search(rf"\b{PITCH_WITH_OCTAVE}\b", s)
        or search(rf"(?:,|\bis|\bon|:|\bnote|\bthe)\s+(?:a |an |the )?{PITCH}\b(?! )", s)
        or search(
            rf"\b(?:low|high|top|the|their|its|an?|is|:) {PITCH}(?=\s*(?:openstring|$|[.,@)]))", s
        )
    )
    if pitch is None:
        return Found(fields, (token,), ["Which note is it?"])
    fields["pitch"] = called(pitch)
    asked = ["Which note is it as it sounds?"] if search(r"\b(?:written|notated)\b", s) else []
    return Found(fields, (token,), asked)
