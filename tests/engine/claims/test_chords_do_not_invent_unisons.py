"""Two lines with chords elsewhere: where both have one note, nothing is in unison by accident."""

from __future__ import annotations

from analysis.engine.analyses.attacks import attacks

from ..tables import table
from .asking import ask


def test_missing_notes_of_chords_do_not_meet():
    made = table(
        {
            "Vl I": "C5 q D5 E5 F5 | C5 D5 E5 F5 | C5+E5 w",
            "Vla": "E4 q F4 G4 A4 | E4 F4 G4 A4 | C4+G4 w",
        }
    )
    assert {d: int(m.sum()) for d, m in attacks(made).meets(0, 1).items() if m.any()} == {1: 1}
    value = ask(made, "doubling", ["1", "3"], ["Vl I"], with_=["Vla"], octaves=0)
    assert value["flag"] == "conflicts"
