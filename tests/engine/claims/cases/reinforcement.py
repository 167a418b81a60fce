"""Reinforced notes: the first of each bar."""

from __future__ import annotations

from analysis.engine.model import Doubt, ScoreTable
from tests.engine.claims.cases import Case, changed
from tests.engine.claims.test_layout_and_others import accents
from tests.engine.tables import table


def late() -> ScoreTable:
    """The oboe has the first notes of bars 2, 3 and 4."""
    tune = "C5 q D5 E5 F5 | G5 E5 D5 C5 | C5 D5 E5 F5 | G5 E5 D5 C5"
    return table({"Ob": "r | G5 q r h | C5 q r h | G5 q r h", "Vl I": tune})


FIRST = {"with": ["Vl I"], "beats": [1], "by": "pitch"}
CASES = [
    Case("the oboe has the first note of each bar", "agrees", accents, ["1", "4"], ["Ob"], FIRST),
    Case("but not the third", "partly", accents, ["1", "4"], ["Ob"], {**FIRST, "beats": [1, 3]}),
    Case("the same attacks, on another note", "partly", accents, ["1", "4"], ["Cl"], FIRST),
    Case("bars 2-4, counted from 1", "partly", late, ["1", "3"], ["Ob"], FIRST,
         cause="bar-offset"),
    Case("the bassoon has all notes", "conflicts", accents, ["1", "4"], ["Fg"], FIRST),
    Case("a doubtful transposition", "ear",
         lambda: changed(accents(), "Cl", Doubt("pitch", "in Bb or in A?")), ["1", "4"], ["Cl"],
         FIRST, cause="unconfirmed-part"),
]  # fmt: skip

TYPED = {"parts": "Ob", "with_": "Vl I", "beats": "1, 3", "by": "pitch"}
CLAIM = {"parts": ["Ob"], "with": ["Vl I"], "beats": [1.0, 3.0], "by": "pitch"}
