"""Looser doublings are said once of lines that go together.

Sources: trade facts 5.1 (heterophonic doubling: one of two versions ornamented), job 6, example 6.
"""

from analysis.engine.analyses import doubling
from analysis.engine.settings import Settings

from ..tables import table

S = Settings()
PLAIN = "G4 h B4 | C5 h A4 | B4 h G4 | A4 h D4"
DECORATED = (
    "G4 q A4 e G4 B4 q C5 e B4 | C5 q D5 e C5 A4 q B4 e A4 | "
    "B4 q C5 e B4 G4 q A4 e G4 | A4 q B4 e A4 D4 q E4 e D4"
)


def up(text):
    return "".join(str(int(c) + 1) if c.isdigit() else c for c in text)


def said(lines):
    t = table(lines)
    return sorted(
        (t.lines[f.lines[0]].name, t.lines[f.lines[1]].name, f.value["coverage"])
        for f in doubling.find_doublings(t, S)
        if f.value["coverage"] in {"heterophonic", "simplified"}
    )


def test_the_clarinet_has_the_plain_tune():
    assert said({"Cl": PLAIN, "Vl I": DECORATED}) == [("Cl", "Vl I", "heterophonic")]


def test_not_again_of_violins_that_go_along():
    lines = {"Cl": PLAIN, "Vl I": up(DECORATED), "Vl II": DECORATED}
    assert said(lines) == [("Cl", "Vl I", "heterophonic")]


def test_not_again_of_a_second_player():
    lines = {"Cl 1": PLAIN, "Cl 2": PLAIN, "Vl I": DECORATED}
    assert said(lines) == [("Cl 1", "Vl I", "heterophonic")]


def test_two_clarinets_that_part_are_both_told():
    lines = {"Cl 1": PLAIN + " | r | r | r | r", "Cl 2": "r | r | r | r | " + PLAIN}
    lines["Vl I"] = DECORATED + " | " + DECORATED
    assert said(lines) == [("Cl 1", "Vl I", "heterophonic"), ("Cl 2", "Vl I", "heterophonic")]
