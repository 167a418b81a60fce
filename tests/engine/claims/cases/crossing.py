"""Crossings: in `pieces.shared` the violas' E5 stands over B4 and A4 in bars 2-3."""

from __future__ import annotations

from analysis.engine.model import Doubt
from tests.engine.claims.cases import Case, changed
from tests.engine.claims.pieces import shared

BOTH = {"upper": "Vl II", "lower": "Vla"}
CASES = [
    Case("E5 over B4 and A4", "agrees", shared, ["2", "3"], (), BOTH),
    Case("it begins in the bar after", "partly", shared, ["1"], (), BOTH, cause="bar-offset"),
    Case("the cellos never rise above the violas", "conflicts", shared, ["1", "4"], (),
         {"upper": "Vla", "lower": "Vc"}),
    Case("a doubtful octave", "ear",
         lambda: changed(shared(), "Vla", Doubt("pitch", "which clef?")), ["2", "3"], (), BOTH,
         cause="unconfirmed-part"),
]  # fmt: skip

TYPED = {"lower": "Vla", "upper": "Vl II"}
CLAIM = {"upper": "Vl II", "lower": "Vla", "parts": []}
