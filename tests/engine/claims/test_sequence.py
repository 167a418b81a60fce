"""Claims of sequences on small pieces whose answer is argued from the notes.

Sources: contract 3 (three statements agree, two near; `at` to the beat; repetition conflicts),
job 6, example 7 (three times, each a step lower, the next bar breaks it), trade facts 9 (falling
fifths -4, +3; net move 0 is a repetition). Which bars count as alike: common practice, no source.
"""

from __future__ import annotations

from functools import cache

import pytest

from analysis.engine import claims
from analysis.engine.model import ScoreTable
from analysis.engine.settings import Settings

from ..tables import table
from .asking import ask, ids

#: one bar, three times, each a step lower; bar 4 begins as a fourth and goes another way at beat 3
FALLING = "G5 q. A5 e B5 q D6 | F5 q. G5 e A5 q C6 | E5 q. F5 e G5 q B5 | D5 h E5 q r"
UNDER = "E5 q. F5 e G5 q B5 | D5 q. E5 e F5 q A5 | C5 q. D5 e E5 q G5 | B4 h C5 q r"


@cache
def piece() -> ScoreTable:
    """Bars 1-4: the sequence in Ob and Cl, held notes in Vc, Fl rests.

    Bars 5-8: Ob says one bar twice at the same height, then two bars a third apart; Cl has no two
    bars alike; Vc goes in falling fifths and rising fourths (seven roots) and then up.
    """
    return table(
        {
            "Fl": "r | r | r | r | r | r | r | r | r",
            "Ob": f"{FALLING} | C5 q D5 E5 G5 | C5 q D5 E5 G5 | F5 q A5 G5 e F5 E5 q |"
            " A5 q C6 B5 e A5 G5 q | r",
            "Cl": f"{UNDER} | C5 w | E5 q r F5 e G5 A5 q | r h B4 | A4 s B4 C5 q r h | r",
            "Vc": "G3 w | F3 | E3 | D3 | C4 h F3 | B3 h E3 | A3 h D3 | G3 h E4 | r",
        }
    )


def flags(value):
    return tuple(value[k] for k in ("flag", "place", "parts", "relation", "degree"))


RIGHT = ("agrees", "right", "right", "right", "right")
CLAIM = {"statements": 3, "step": -1}


def test_three_statements_a_step_lower_and_where_they_break():
    value = ask(piece(), "sequence", ["1", "3"], ["Ob"], **CLAIM, breaks_at={"bar": "4", "beat": 3})
    assert flags(value) == RIGHT
    assert value["sentence"] == (
        "Yes: Ob states a model of one bar three times in bars 1–3, each time a step lower. "
        "It breaks off at bar 4, beat 3."
    )
    assert "Cl has the same sequence" in value["note"]
    assert "tonal" in value["note"]
    assert ids(value) == {f"n1-{bar}-{k}" for bar in range(3) for k in range(4)}


def test_two_parts_and_no_numbers_at_all():
    assert flags(ask(piece(), "sequence", ["1", "3"], ["Ob", "Cl"])) == RIGHT


@pytest.mark.parametrize("point", [4, {"bar": "4"}, {"bar": "4", "beat": 1}])
def test_the_break_is_the_bar_the_next_statement_would_be_or_its_first_other_note(point):
    assert flags(ask(piece(), "sequence", ["1", "3"], ["Ob"], breaks_at=point)) == RIGHT


def test_a_break_a_bar_away_is_near_and_further_conflicts():
    near = ask(piece(), "sequence", ["1", "3"], ["Ob"], breaks_at="5")
    assert flags(near) == ("partly", "right", "right", "right", "near")
    assert "bar 4, beat 3" in near["sentence"]
    assert ask(piece(), "sequence", ["1", "3"], ["Ob"], breaks_at="7")["flag"] == "conflicts"


def test_two_statements_named_are_near_with_their_cause():
    value = ask(piece(), "sequence", ["7", "8"], ["Ob"], statements=2, step=2)
    assert flags(value) == ("partly", "right", "right", "near", "right")
    assert value["cause"] == "two-statements"
    assert "twice only" in value["sentence"]
    # where two are enough for the tutor they are a sequence
    eager = Settings(sequence_statements=2)
    value = ask(piece(), "sequence", ["7", "8"], ["Ob"], statements=2, step=2, settings=eager)
    assert flags(value) == RIGHT


def test_the_same_again_at_the_same_height_is_a_repetition():
    value = ask(piece(), "sequence", ["5", "6"], ["Ob"], statements=2, step=1)
    assert (value["flag"], value["cause"]) == ("conflicts", "repetition")
    assert "repetition, no sequence" in value["sentence"]
    assert ids(value) >= {"n1-4-0", "n1-5-0"}


def test_the_number_and_the_interval_are_degrees():
    four = ask(piece(), "sequence", ["1", "3"], ["Ob"], statements=4)
    assert flags(four) == ("partly", "right", "right", "right", "near")
    third = ask(piece(), "sequence", ["1", "3"], ["Ob"], step=-2)
    assert flags(third) == ("conflicts", "right", "right", "right", "wrong")
    assert "a step lower" in third["sentence"]
    assert third["truth"]["claim"]["step"] == -1
    assert ask(piece(), "sequence", ["1", "3"], ["Ob"], step=1)["flag"] == "conflicts"
    assert ask(piece(), "sequence", ["1", "3"], ["Ob"], step=-8)["flag"] == "partly"


def test_one_bar_off_and_too_wide():
    value = ask(piece(), "sequence", ["2", "4"], ["Ob"], **CLAIM)
    assert (value["flag"], value["cause"]) == ("partly", "bar-offset")
    # the break is moved along
    value = ask(piece(), "sequence", ["2", "4"], ["Ob"], **CLAIM, breaks_at={"bar": "5", "beat": 3})
    assert (value["flag"], value["cause"]) == ("partly", "bar-offset")
    assert value["truth"]["claim"]["breaks-at"]["bar"] == "4"
    wide = ask(piece(), "sequence", ["1", "9"], ["Ob"], **CLAIM)
    assert flags(wide)[:2] == ("partly", "near")


def test_three_of_five_statements_are_right_with_a_note():
    five = "A5 q. B5 e C6 q E6 | " + FALLING.rsplit("|", 1)[0] + "| D5 q. E5 e F5 q A5 | r"
    made = table({"Ob": five, "Vc": "C3 w | C3 | C3 | C3 | C3 | r"})
    value = ask(made, "sequence", ["2", "4"], ["Ob"], **CLAIM)
    assert flags(value) == RIGHT
    assert "starts in bar 1 and goes on to bar 5" in value["note"]


def test_who_rests_conflicts_and_what_is_nothing_alike_too():
    rests = ask(piece(), "sequence", ["1", "3"], ["Fl"], **CLAIM)
    assert rests["flag"] == "conflicts"
    assert rests["evidence"][0]["rests"]
    unlike = ask(piece(), "sequence", ["5", "8"], ["Cl"], statements=3)
    assert (unlike["flag"], unlike["cause"]) == ("conflicts", None)


def test_what_might_be_one_freely_taken_is_for_the_ear():
    # the rhythm and direction of every bar are alike, the intervals are not
    free = "G5 q. A5 e B5 q D6 | F5 q. A5 e B5 q C6 | E5 q. F5 e A5 q E6 | r"
    made = table({"Ob": free, "Vc": "C3 w | C3 | C3 | r"})
    value = ask(made, "sequence", ["1", "3"], ["Ob"], **CLAIM)
    assert (value["flag"], value["cause"]) == ("ear", None)


def test_a_wrong_part_of_three_is_near_and_one_of_two_is_not():
    lines = {"Ob": FALLING, "Cl": UNDER, "Fl": "r | r | r | r", "Vc": "G3 w | F3 | E3 | D3"}
    three = ask(table(lines), "sequence", ["1", "3"], ["Ob", "Cl", "Fl"], **CLAIM)
    assert (three["flag"], three["parts"]) == ("partly", "near")
    two = ask(table(lines), "sequence", ["1", "3"], ["Ob", "Fl"], **CLAIM)
    assert (two["flag"], two["parts"]) == ("conflicts", "wrong")


def test_a_chain_keeps_its_signed_intervals():
    chain = [-4, 3, -4, 3, -4, 3]
    value = ask(piece(), "sequence", ["5", "8"], ["Vc"], chain=chain)
    assert flags(value) == RIGHT
    assert "falling fifths and rising fourths" in value["sentence"]
    assert flags(ask(piece(), "sequence", ["5", "8"], ["Vc"], chain=chain[:4])) == RIGHT
    octave = ask(piece(), "sequence", ["5", "8"], ["Vc"], chain=[-4, -4, -4, 3, -4, 3])
    assert flags(octave) == ("partly", "right", "right", "right", "near")
    thirds = ask(piece(), "sequence", ["5", "8"], ["Vc"], chain=[-2, -2, -2, -2])
    assert flags(thirds) == ("conflicts", "right", "right", "right", "wrong")


def test_moves_that_are_there_but_too_few_for_a_chain():
    value = ask(piece(), "sequence", ["5", "6"], ["Ob"], chain=[1, 1])
    assert value["flag"] in ("partly", "conflicts")
    made = table({"Vc": "C4 h F3 | B3 h C4 | C4 w", "Vl I": "C5 w | B4 | C5"})
    value = ask(made, "sequence", ["1", "2"], ["Vc"], chain=[-4, 3])
    assert flags(value) == ("partly", "right", "right", "near", "right")


def test_denied():
    asked = {"negated": True}
    value = ask(piece(), "sequence", ["1", "3"], ["Ob"], **asked)
    assert value["flag"] == "conflicts"
    assert "three times" in value["sentence"]
    assert ask(piece(), "sequence", ["1", "3"], ["Ob"], step=1, **asked)["flag"] == "agrees"
    assert ask(piece(), "sequence", ["1", "3"], ["Fl"], **asked)["flag"] == "agrees"
    assert ask(piece(), "sequence", ["5", "6"], ["Ob"], **asked)["flag"] == "agrees"


def test_the_tutors_word():
    absent = claims.Overruling("sequence", 0, 2, (1,), "absent", None, None, "too free")
    value = ask(piece(), "sequence", ["1", "3"], ["Ob"], overrules=[absent], **CLAIM)
    assert value["flag"] != "agrees"
    added = claims.Overruling(
        "sequence", 4, 6, (2,), "added", {"statements": 3, "step": 2}, None, "hear it so"
    )
    asked = {"statements": 3, "step": 2, "overrules": [added]}
    value = ask(piece(), "sequence", ["5", "7"], ["Cl"], **asked)
    assert (value["flag"], value["confidence"]) == ("agrees", 1.0)
    assert "tutor" in value["sentence"]
