"""Sequences: one case a flag and misreading; more of them stand in `test_sequence`."""

from __future__ import annotations

from tests.engine.claims.cases import Case
from tests.engine.claims.test_sequence import piece

CASES = [
    Case("one bar three times, each a step lower", "agrees", piece, ["1", "3"], ["Ob"],
         {"statements": 3, "step": -1, "breaks-at": {"bar": "4", "beat": 3}}, says="a step lower"),
    Case("C4 F3 B3 E3 A3 D3 G3: a fifth down, a fourth up", "agrees", piece, ["5", "8"], ["Vc"],
         {"chain": [-4, 3, -4, 3, -4, 3]}),
    Case("one bar late", "partly", piece, ["2", "4"], ["Ob"], {"statements": 3, "step": -1},
         cause="bar-offset"),
    Case("stated twice", "partly", piece, ["7", "8"], ["Ob"], {"statements": 2, "step": 2},
         cause="two-statements"),
    Case("C D E G twice: at the same height", "conflicts", piece, ["5", "6"], ["Ob"],
         {"statements": 2, "step": 1}, cause="repetition", says="repetition, no sequence"),
    Case("each a step lower, not higher", "conflicts", piece, ["1", "3"], ["Ob"], {"step": 1}),
    Case("the horn is not in this score", "ear", piece, ["1", "3"], ["Cor"], {},
         cause="not-understood"),
    Case("it is one", "conflicts", piece, ["1", "3"], ["Ob"], {"negated": True}),
]  # fmt: skip

TYPED = {
    "parts": "Ob", "statements": "3", "step": "-1", "chain": "", "breaks": "b. 12",
}  # fmt: skip
CLAIM = {"parts": ["Ob"], "statements": 3, "step": -1, "breaks-at": {"bar": "12"}}
