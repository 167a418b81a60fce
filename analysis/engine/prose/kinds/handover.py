""" "Oboe hands the tune to the clarinet", "violins take over from the flute"."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from analysis.engine import places
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.prose.phrase import JSON, Found, search
from analysis.engine.prose.sentence import Sentence

_GIVE = r"(?:(?:hands?|pass(?:es)?|gives?|throws?|yields?|transfers?|moves?|goes)\b (?:(?:~)\b(?:over|on|to)\b ){1,2})"
_TAKE = r"(?:takes?|took|continues?|picks?|carries|carry)\b (?:~)(?:over|up|on)?(?: ~)?\bfrom\b"
#: "The cellos continue what the violas started".
_WHAT = r"(?: ~)?\b(?:what|where)"
_GOES_ON = (
    r"\b(?:continues?|finish(?:es)?|completes?|carr(?:y|ies) on|goes? on|takes? up|picks? up)"
    + _WHAT
)
_BEGAN = r"(?:has |have |had )?(?:start(?:s|ed)?|begins?|began|begun|left off|leaves? off|stop(?:s|ped)?)\b"
#: "The tune starts with A and then B takes it over".
_WITH_ONE = r"\b(?:starts?|begins?|is|lies|opens?|sounds?) (?:off |out )?(?:with|in|at|by)"
_THEN_OTHER = (
    r"(?:,|;|and|until|before|\W)* ?(?:and )?(?:then |until |before |later )?B! (?:\w+ )?(?:takes? (?:it |the \w+ )?(?:over|up|on|(?=@))|picks? it up"
    r"|continues?(?: it)?|carries it on|carry it on)\b"
)
FROM_ONE = r"\b(?:goes|moves?|pass(?:es|ed)?|wanders?|travels?|shifts?|jumps?|migrates?|switches|handed|given|transferred) (?:\w+ )?from A! (?:\w+ )?(?:over )?(?:on)?to\b"
#: What is given and is no line.
NO_LINE = r"\b(?:gives?|lends?|throws?)\b ~\b(?:accents?|stress|emphasis|weight|colou?r|support|strength|power|warmth|shine|answers?|reply|replies|response)\b"


def read(s: Sentence) -> Found | None:
    """See the module."""
    line = r"\b(?:melody|tune|theme|line|motif|motive|phrase|figure)\b"
    if (match := search(r"\bfrom A! ~\bto\b ~B!", s)) and search(line, s):
        return _of(s, match["a"], match["b"])
    if match := search(rf"{line} ~{_WITH_ONE} A!\W* ?{_THEN_OTHER}", s):
        return _of(s, match["a"], match["b"])
    if match := search(r"A! ?(?:→|->|=>|-) ?B!", s):
        return _of(s, match["a"], match["b"])
    over = search(r"A! (?:\w+ )?(?:goes|moves?) over B!", s)  # a crossing
    if (match := search(rf"A! ~{_GIVE}~B!", s)) and not over and not search(NO_LINE, s):
        return _of(s, match["a"], match["b"])
    if match := search(rf"A! ~{_TAKE} ~B!", s) or search(rf"A! ~{_GOES_ON} B! {_BEGAN}", s):
        return _of(s, match["b"], match["a"])
    if match := search(
        rf"\bwhat A! {_BEGAN}\W* ~(?:taken up|continued|finished|completed) by ~B!", s
    ):
        return _of(s, match["a"], match["b"])
    if match := search(rf"\bwhat A! {_BEGAN}\W* B! {_GOES_ON[: -len(_WHAT)]}", s):
        return _of(s, match["a"], match["b"])
    if match := search(r"A! ~(?:taken over|continued|taken up|picked up|followed) by ~B!", s):
        return _of(s, match["a"], match["b"])
    if (match := search(FROM_ONE, s)) and search(line, s) and s.group(match["a"]).names:
        return Found({"from": s.parts(match["a"])[0]}, (match["a"],), ["Over to whom?"])
    if (match := search(r"A! ~\b(?:hands?|pass(?:es)?)\b ~\b(?:over|on)\b", s)) and search(line, s):
        giver = s.parts(match["a"])[:1]
        return Found({"from": giver[0]} if giver else {}, (match["a"],), ["Over to whom?"])
    return None


def _of(s: Sentence, giver: str, taker: str) -> Found:
    one, other = s.group(giver), s.group(taker)
    asked = []
    if len(one.names) != 1 or len(other.names) != 1:
        asked.append("From one line to one other: say each handover by itself.")
    fields: JSON = {f: g.names[0] for f, g in (("from", one), ("to", other)) if g.names}
    point = point_of(s)
    if point is not None:
        fields |= {"at": point, "bars": bars_of(s, point)}
    return Found(fields, (giver, taker), asked)


def point_of(s: Sentence) -> JSON | None:
    """One bar, or one beat of it, is where the new part enters."""
    place = s.places[0] if len(s.places) == 1 else inner_place(s)
    if isinstance(place, list):
        return {"bar": place[0]} if len(set(place)) == 1 else None
    if isinstance(place, Mapping) and place["from"] == place["to"]:
        point = place["from"]
        return dict(point) if isinstance(point, Mapping) else None
    return None


def inner_place(s: Sentence) -> Any:
    """Of two places the one bar that lies within the other, wider one."""
    return s.places[1] if len(s.places) == 2 and lies_in(s, 1, 0) else None


def bars_of(s: Sentence, point: JSON) -> Any:
    """The passage of a handover at a point."""
    return s.places[0] if inner_place(s) is not None else [point["bar"]]


def lies_in(s: Sentence, inner: int, outer: int) -> bool:
    """Whether one place lies within another that is longer."""
    try:
        a, b = (places.resolve(s.places[i], s.table, s.movement) for i in (inner, outer))
    except ClaimNotUnderstood:
        return False
    return b.first <= a.first <= a.last <= b.last and (a.first, a.last) != (b.first, b.last)
