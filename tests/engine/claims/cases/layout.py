"""The page before any note: trade facts 2.1-2.3."""

from __future__ import annotations

from tests.engine.claims.cases import Case
from tests.engine.claims.test_layout_and_others import horns
from tests.engine.tables import table

CASES = [
    Case("horn in E flat sounds nine semitones lower", "agrees", horns, None, ["Cor in Eb"],
         {"instrument": "horn", "transposition": -9}),
    Case("C basso is an octave lower", "partly", lambda: table({"Cor in C basso": "C4 w"}), None,
         ["Cor in C basso"], {"transposition": 0}),
    Case("a trumpet in F goes up", "conflicts", horns, None, ["Tr in F"], {"transposition": -7},
         cause="reversed"),
    Case("violins are no violas", "conflicts", horns, None, ["Vl I"], {"instrument": "viola"}),
    Case("how many violins play is not on the page", "ear", horns, None, ["Vl I"],
         {"players": 2}),
]  # fmt: skip

TYPED = {"parts": "Cor in Eb", "instrument": "horn", "transposition": "-9", "players": ""}
CLAIM = {"parts": ["Cor in Eb"], "instrument": "horn", "transposition": -9}
