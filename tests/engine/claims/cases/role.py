"""Roles, by hand-made findings."""

from __future__ import annotations

from analysis.engine.model import ScoreTable
from tests.engine.claims.asking import role
from tests.engine.claims.cases import Case
from tests.engine.claims.pieces import doublings


def roles(made: ScoreTable, sure: float = 0.95) -> list:
    """Vl I has the melody in 1-4, Vla moving harmony."""
    return [role(made, 5, 0, 3, "melody", sure), role(made, 6, 0, 3, "moving harmony", sure)]


def unsure(made: ScoreTable) -> list:
    return roles(made, 0.3)


CASES = [
    Case("the firsts have the tune", "agrees", doublings, ["1", "4"], ["Vl I"],
         {"role": "melody"}, find=roles),
    Case("figuration is of one class with moving harmony", "partly", doublings, ["1", "4"],
         ["Vla"], {"role": "figuration"}, find=roles),
    Case("one bar late", "partly", doublings, ["2", "5"], ["Vl I"], {"role": "melody"},
         cause="bar-offset", find=roles),
    Case("the firsts are no bass", "conflicts", doublings, ["1", "4"], ["Vl I"],
         {"role": "bass line"}, find=roles),
    Case("not sure", "ear", doublings, ["1", "4"], ["Vl I"], {"role": "melody"}, find=unsure),
]  # fmt: skip

TYPED = {"parts": "Vl I", "role": "melody"}
CLAIM = {"parts": ["Vl I"], "role": "melody"}
