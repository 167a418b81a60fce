"""Crossing: sounding pitch at the same moment; from two notes or one beat on (trade-facts 6.2)."""

from __future__ import annotations

from analysis.engine import claims

from ..tables import table
from .asking import ask, ids
from .pieces import shared

C = "crossing"


def test_a_crossing_agrees_with_both_lines_lit():
    value = ask(shared(), C, ["2", "3"], upper="Vl II", lower="Vla")
    assert value["flag"] == "agrees"
    assert ids(value) == {"n4-1-0", "n4-2-0", "n5-1-0", "n5-2-0"}


def test_no_crossing_conflicts():
    value = ask(shared(), C, ["1", "4"], upper="Vl I", lower="Vl II")
    assert value["flag"] == "conflicts"
    assert value["truth"]["claim"]["negated"] is True


def test_the_basses_stand_above_the_cellos_on_paper_only():
    # trade-facts 12.9: double bass, written an octave higher than it sounds.
    made = table({"Vc": "C3 w | E3 | D3 | C3", "Cb": "E2 w | G2 | F2 | E2"})
    value = ask(made, C, ["1", "4"], upper="Vc", lower="Cb")
    assert value["flag"] == "partly"
    assert value["cause"] == "bass-written"


def test_on_paper_only_for_a_transposing_part():
    # trade-facts 12.18: clarinet in Bb written C5 sounds Bb4.
    made = table({"Ob": "C5 w | B4 | C5 | B4", "Cl": "B4 w | A4 | Bb4 | A4"})
    value = ask(made, C, ["1"], upper="Ob", lower="Cl")
    assert (value["flag"], value["cause"]) == ("conflicts", "untransposed")


def test_one_bar_off_is_partly():
    value = ask(shared(), C, ["4"], upper="Vl II", lower="Vla")
    assert (value["flag"], value["place"]) == ("partly", "near")


def test_far_away_conflicts_and_names_the_place():
    far = table({"Vl II": "C5 w | C5 | C5 | C5 | C5 | C5", "Vla": "A4 w | A4 | A4 | A4 | A4 | E5"})
    value = ask(far, C, ["1", "2"], upper="Vl II", lower="Vla")
    assert (value["flag"], value["place"]) == ("conflicts", "wrong")
    assert "bar 6" in value["sentence"]


def test_a_single_dip_agrees_with_a_note():
    dip = table({"Vl II": "C5 q B4 e C5 C5 h | C5 w", "Vla": "A4 q C5 e A4 A4 h | A4 w"})
    value = ask(dip, C, ["1"], upper="Vl II", lower="Vla")
    assert value["flag"] == "agrees"
    assert "single" in value["note"]
    # a dip is no clear run against a denial
    assert ask(dip, C, ["1"], upper="Vl II", lower="Vla", negated=True)["flag"] == "agrees"


def test_denied():
    assert (
        ask(shared(), C, ["1", "4"], upper="Vl I", lower="Vl II", negated=True)["flag"] == "agrees"
    )
    value = ask(shared(), C, ["2", "3"], upper="Vl II", lower="Vla", negated=True)
    assert value["flag"] == "conflicts"


def test_rests_cannot_cross():
    made = table({"Vl II": "r | C5 w", "Vla": "E5 w | A4"})
    value = ask(made, C, ["1"], upper="Vl II", lower="Vla")
    assert value["flag"] == "conflicts"
    assert any(e.get("rests") for e in value["evidence"])


def test_the_same_line_twice_goes_to_the_ear():
    assert ask(shared(), C, ["1"], upper="Vla", lower="viola")["flag"] == "ear"


def test_the_tutors_word():
    word = claims.Overruling(C, 1, 2, (5, 6), "absent", None, None, "only the page")
    value = ask(shared(), C, ["2", "3"], upper="Vl II", lower="Vla", overrules=[word])
    assert value["flag"] != "agrees"


def test_the_part_that_stands_above_does_not_cross():
    value = ask(shared(), C, ["1", "4"], upper="Vl II", lower="Vl I")
    assert value["flag"] == "conflicts"
    assert "on the page" in value["sentence"]
