""" "Violins pizzicato", "horns muted", "clarinets in their low register"."""

from __future__ import annotations

from analysis.engine.prose.phrase import Found, search
from analysis.engine.prose.sentence import Sentence

_MARKS = (
    ("con sord.", r"con sord(?:\.|ini|ino)?|muted|with mutes?|mit dampfer|sourdines?"),
    ("senza sord.", r"senza sord(?:\.|ini|ino)?|without mutes?|mutes? off"),
    ("pizz.", r"pizz(?:\.|icato)?|plucked|pluck"),
    ("arco", r"arco|bowed|with the bow"),
    ("div.", r"div(?:\.|isi)?|divided"),
    ("a 2", r"a ?2|a due|zu 2|zu zweit"),
    ("col legno", r"col legno"),
    ("sul ponticello", r"sul pont(?:\.|icello)?"),
    ("trem.", r"trem(?:\.|olo|olando)?"),
    ("solo", r"marked solo|solo"),
    ("dolce", r"dolce"),
)
_REGISTER = r"\b(?P<where>low|lowest|bottom|chalumeau|middle|high|highest|top|upper) (?:(?:in|of) (?:their|its|the) )?(?:register|range|octave|tessitura|compass)\b"
_WHERE = {"low": "low", "lowest": "low", "bottom": "low", "chalumeau": "low", "middle": "middle"}


def read(s: Sentence) -> Found | None:
    """See the module."""
    if match := search(rf"A! ~{_REGISTER}", s):
        register = _WHERE.get(match["where"], "high")
        return Found({"parts": s.parts(match["a"]), "register": register}, (match["a"],))
    said = [mark for mark, words in _MARKS if search(rf"(?<!\w)(?:{words})(?!\w)", s)]
    asked = ["Two marks: say each as a statement of its own."] if len(said) > 1 else []
    for mark, words in _MARKS:
        if match := search(rf"A! ~(?:\b|(?<= ))(?:{words})(?!\w)", s):
            return Found({"parts": s.parts(match["a"]), "mark": mark}, (match["a"],), asked)
    for mark, words in _MARKS:  # "pizz. in the cellos"
        if match := search(rf"(?<!\w)(?:{words})(?!\w)\W*(?:(?:in|for|on|by)\W+)?A!", s):
            return Found({"parts": s.parts(match["a"]), "mark": mark}, (match["a"],), asked)
    return None
