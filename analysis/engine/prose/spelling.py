"""A word that is nearly a part's name: asked about, never taken in silence."""

from __future__ import annotations

import difflib
import re

from analysis.engine.instruments.table import INSTRUMENTS
from analysis.engine.model import ScoreTable
from analysis.engine.names import LESS

#: Likeness (0 to 1, of longest common blocks) from which a word is taken for a slip of the pen;
#: set so that "violent" is no violin and "voilas" are violas.
_NEAR = 0.8
#: "The strings without the zithers rest": a group less somebody who is no part of this score.
_LESS_WHOM = re.compile(
    rf"<\d+>\s*,?\s*(?:{LESS}) (?:(?:the|die|den|les?|la|il|gli|i) )?(?P<whom>[^\W\d]{{3,}})"
    r"(?= (?:rests?|plays?|pauses?|doubles?|has|have|are|is|follows?|accompan(?:y|ies)|holds?|"
    r"carr(?:y|ies)|sings?|goe?s|takes?|starts?|begins?|enters?|leads?|moves?)\b)"
)


def unknown_names(short: str, table: ScoreTable) -> list[str]:
    """Questions about words that are left and look like names of this score's instruments."""
    keys = {line.instrument for line in table.lines}
    singular = [INSTRUMENTS[key].name.lower() for key in sorted(keys) if key in INSTRUMENTS]
    known = [n for name in singular if " " not in name for n in (name, f"{name}s")]
    asked = []
    for word in dict.fromkeys(re.findall(r"[a-z]{4,}", short)):
        if re.search(r"ists?$", word):
            continue  # who plays it
        near = difflib.get_close_matches(word, [n for n in known if n[0] == word[0]], 1, _NEAR)
        if near and word not in known:
            asked.append(f"Who is “{word}”: {near[0]}?")
    asked += [
        f"Who is “{m['whom']}”? No part here has this name." for m in _LESS_WHOM.finditer(short)
    ]
    return asked
