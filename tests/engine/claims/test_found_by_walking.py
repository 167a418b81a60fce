"""Statements that random walks over real scores found answered wrongly; what is right is here.

Sources: contract 3 (evidence, denials); the pieces are written for it.
"""

from __future__ import annotations

from functools import cache

from analysis.engine.model import ScoreTable

from ..tables import table
from .asking import ask

TUNE = "C4 q D4 E4 F4"


@cache
def resting() -> ScoreTable:
    """The clarinet goes with the flute for eight bars and rests in bar 4; the violins hold."""
    tune = [TUNE] * 8
    pausing = [*tune[:3], "r", *tune[4:]]
    return table({"Fl": " | ".join(tune).replace("4", "5"), "Cl": " | ".join(pausing),
                  "Vl I": " | ".join(["G4 w"] * 8), "Vc": " | ".join(["C3 w"] * 8)})  # fmt: skip


def test_who_rests_takes_no_side():
    whole = ask(resting(), "sides-with", ["1", "8"], ["Cl"], side="Fl", by="rhythm")
    assert whole["flag"] == "agrees", "the stretch goes on over the rest"
    denied = ask(resting(), "sides-with", ["4"], ["Cl"], side="Fl", by="rhythm", negated=True)
    assert denied["flag"] == "agrees"
    assert "rests in bar 4" in denied["sentence"]
    assert denied["evidence"] == [{"part": "P2", "bars": [3, 3], "rests": True}]


def test_notes_that_are_supported_are_notes_of_the_line_named():
    t = resting()
    theirs = ask(t, "reinforcement", ["1", "2"], ["Cl"], by="accent", **{"with": ["Vl I"]})
    assert theirs["cause"] != "not-understood"
    strange = ask(t, "reinforcement", ["1", "2"], ["Cl"], by="accent", notes=["n0-0-0"],
                  **{"with": ["Vl I"]})  # fmt: skip
    assert (strange["flag"], strange["cause"]) == ("ear", "not-understood")
    assert "none of Vl I" in strange["sentence"]


def test_a_denied_tutti_shows_who_rests_though_nobody_rests_throughout():
    t = table({"Fl": "C5 w | r | C5 w | r", "Cor in C": "r | C4 w | r | C4 w",
               "Vl I": "C5 w | r | C5 w | r", "Vc": "r | C3 w | r | C3 w"})  # fmt: skip
    denied = ask(t, "playing", ["1", "4"], mode="tutti", negated=True)
    assert denied["flag"] == "agrees"
    assert {tuple(e["bars"]) for e in denied["evidence"]} >= {(0, 0), (1, 1)}


def test_a_tune_that_is_not_clear_shows_whose_notes_were_asked_about():
    said = ask(resting(), "share", ["1", "4"], of="melody", predominant="Cl", findings=[])
    assert said["flag"] == "ear"
    assert said["evidence"]
