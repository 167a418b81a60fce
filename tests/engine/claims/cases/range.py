"""Extremes, read from the notes of `test_range.piece`."""

from __future__ import annotations

from analysis.engine.model import Doubt
from tests.engine.claims.cases import Case, changed
from tests.engine.claims.test_range import piece

HIGH = {"extreme": "highest", "within": "movement"}
CASES = [
    Case("D6 in bar 2", "agrees", piece, ["2"], ["Ob"], {**HIGH, "pitch": "D6"}),
    Case("D5 is the right note, an octave low", "partly", piece, ["2"], ["Ob"],
         {**HIGH, "pitch": "D5"}, cause="octave-count"),
    Case("A5 is written B5 on the clarinet in B flat", "conflicts", piece, ["2"], ["Cl"],
         {**HIGH, "pitch": "B5"}, cause="untransposed"),
    Case("E5 is not the highest", "conflicts", piece, ["3"], ["Ob"], {**HIGH, "pitch": "E5"}),
    Case("a doubtful transposition", "ear",
         lambda: changed(piece(), "Cl", Doubt("pitch", "in Bb or in A?")), ["2"], ["Cl"],
         {**HIGH, "pitch": "A5"}, cause="unconfirmed-part"),
]  # fmt: skip

TYPED = {"parts": "Ob", "extreme": "highest", "pitch": "D6", "within": "movement"}
CLAIM = {"parts": ["Ob"], "extreme": "highest", "pitch": "D6", "within": "movement"}
