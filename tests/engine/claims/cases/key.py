"""Local keys, by hand-made regions."""

from __future__ import annotations

from analysis.engine.model import ScoreTable
from tests.engine.claims.asking import region
from tests.engine.claims.cases import Case
from tests.engine.claims.pieces import doublings


def regions(made: ScoreTable, sure: float = 0.95) -> list:
    """1-4 C, 5-8 E flat."""
    return [region(made, 0, 3, "c major", sure), region(made, 4, 7, "eb major", sure)]


def unsure(made: ScoreTable) -> list:
    return regions(made, 0.4)


IN = {"how": "region"}
CASES = [
    Case("C in 1-4", "agrees", doublings, ["1", "4"], (), {**IN, "key": "c major"}, find=regions),
    Case("four bars of six", "partly", doublings, ["1", "6"], (), {**IN, "key": "c major"},
         find=regions),
    Case("the relative key", "partly", doublings, ["1", "4"], (), {**IN, "key": "a minor"},
         cause="relative-key", find=regions),
    Case("D is another key", "conflicts", doublings, ["1", "4"], (), {**IN, "key": "d major"},
         find=regions),
    Case("not sure", "ear", doublings, ["1", "4"], (), {**IN, "key": "c major"}, find=unsure),
]  # fmt: skip

TYPED = {"key": "E flat major", "how": "region"}
CLAIM = {"key": "E flat major", "how": "region", "parts": []}
