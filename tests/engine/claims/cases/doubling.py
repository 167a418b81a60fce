"""Doublings of `pieces.doublings`: octaves counted between the notes written there."""

from __future__ import annotations

from analysis.engine.model import Doubt
from tests.engine.claims.cases import Case, changed
from tests.engine.claims.pieces import doublings

VL = {"with": ["Vl I"]}
CASES = [
    Case("C3 under C5: two octaves", "agrees", doublings, ["1", "4"], ["Fg"],
         {**VL, "octaves": -2}),
    Case("two octaves called one", "partly", doublings, ["1", "4"], ["Fg"], {**VL, "octaves": -1},
         cause="octave-count"),
    Case("a third below is no unison", "conflicts", doublings, ["1", "4"], ["Ob"],
         {**VL, "octaves": 0}, cause="third-as-octave"),
    Case("the horn reads the tune and sounds a sixth lower", "conflicts", doublings, ["5", "8"],
         ["Cor in Eb"], {**VL, "octaves": 0}, cause="untransposed"),
    Case("the violas have another line", "conflicts", doublings, ["1", "4"], ["Vla"],
         {**VL, "octaves": 0}, cause="contact"),
    Case("a doubtful transposition", "ear",
         lambda: changed(doublings(), "Fl", Doubt("pitch", "flute or piccolo?")), ["1", "4"],
         ["Fl"], VL, cause="unconfirmed-part"),
]  # fmt: skip

TYPED = {"parts": "Fl", "with_": "Vl I", "octaves": "1", "coverage": "full"}
CLAIM = {"parts": ["Fl"], "with": ["Vl I"], "octaves": 1, "coverage": "full"}
