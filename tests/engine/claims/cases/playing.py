"""Who plays: read from the bars of `pieces.forces`."""

from __future__ import annotations

from analysis.engine.model import Doubt
from tests.engine.claims.cases import Case, changed
from tests.engine.claims.pieces import forces

CASES = [
    Case("the strings alone in 1-2", "agrees", forces, ["1", "2"], ["strings"], {"mode": "only"}),
    Case("everybody in 3-4", "agrees", forces, ["3", "4"], [], {"mode": "tutti"}),
    Case("the firsts are silent in 6-7: three bars of five", "partly", forces, ["4", "8"], ["Vl I"],
         {"mode": "play"}, says="rests in bars 6–7"),
    Case("the pickup counted as bar 1", "partly", forces, ["2", "3"], ["strings"],
         {"mode": "only"}, cause="pickup"),
    Case("the winds play too in 3-4", "conflicts", forces, ["3", "4"], ["strings"],
         {"mode": "only"}),
    Case("a part whose name is in doubt", "ear",
         lambda: changed(forces(), "Fl", Doubt("name", "flute or oboe?")), ["3"], ["Fl"],
         {"mode": "play"}, cause="unconfirmed-part"),
]  # fmt: skip

TYPED = {"parts": "Fl, strings", "mode": "rest", "unique": "on"}
CLAIM = {"parts": ["Fl", "strings"], "mode": "rest", "unique": True}
