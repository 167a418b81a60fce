"""Statements that random walks over real scores found answered wrongly; what is right is here.

Sources: contract 3 (evidence, denials); the pieces are written for it.
"""

from __future__ import annotations

from functools import cache

from analysis.engine.claims.moments import beat_words
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


def test_the_same_of_several_parts_is_said_once():
    t = table({"Fl": "r | C5 w", "Ob": "r | C5 w", "Cl": "C5 w | C5 w", "Vc": "C3 w | C3 w"})
    said = ask(t, "marking", ["2"], ["Fl", "Ob", "Cl"], mark="dolce")["sentence"]
    assert "Fl, Ob and Cl have" in said or "whether Fl, Ob and Cl have" in said
    tune = " | ".join([TUNE] * 4)
    t = table({"Fl": tune, "Ob": tune, "Cl": tune, "Vc": "C3 w | C3 w | C3 w | C3 w"})
    said = ask(t, "doubling", ["1", "4"], ["Fl"], coverage="none")
    assert said["flag"] == "conflicts"
    assert "Ob and Cl double Fl in bars 1–4." in said["sentence"]


def test_one_part_alone_keeps_its_own_words():
    t = table({"Fl": TUNE, "Ob": TUNE, "Vc": "C3 w"})
    said = ask(t, "doubling", ["1"], ["Fl"], coverage="none")["sentence"]
    assert said == "Look again: Ob doubles Fl in bar 1."


def test_beats_are_said_as_one_writes_them():
    said = [beat_words(b) for b in (1, 3, 2.5, 1 + 1 / 3, 2 + 2 / 3, 1.75, 4.0)]
    assert said == [1, 3, "2.5", "1⅓", "2⅔", "1.75", 4]


def test_only_strings_have_a_bow():
    t = table({"Fl": f"{TUNE} | {TUNE}", "Vl I": f"{TUNE} | {TUNE}"})
    assert ask(t, "marking", ["1", "2"], ["Vl I"], mark="arco")["flag"] == "agrees"
    said = ask(t, "marking", ["1", "2"], ["Fl"], mark="arco")
    assert said["flag"] == "conflicts"
    assert said["sentence"].startswith("Look again: Fl has no “arco” in bars 1–2.")
    denied = ask(t, "marking", ["1", "2"], ["Fl"], mark="arco", negated=True)
    assert denied["flag"] == "agrees"
