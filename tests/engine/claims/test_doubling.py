"""Doubling against trade-facts 5.1 and 12 (assertions 14-19) and the contract's thresholds."""

from __future__ import annotations

import pytest

from analysis.engine import claims

from ..tables import table
from .asking import ask, ids
from .pieces import TUNE, R, doublings, shared

D = "doubling"


@pytest.mark.parametrize(("part", "octaves"), [("Fl", 1), ("Fg", -2), ("Vc", -2), ("Cb", -3)])
def test_the_right_distance_agrees(part, octaves):
    value = ask(doublings(), D, ["1", "4"], [part], with_=["Vl I"], octaves=octaves)
    assert value["flag"] == "agrees"
    assert value["cause"] is None


def test_evidence_is_the_met_notes_of_both_lines():
    value = ask(doublings(), D, ["2", "2"], ["Fl"], with_=["Vl I"], octaves=1)
    assert ids(value) == {f"n{p}-1-{k}" for p in (0, 5) for k in range(4)}


def test_a_narrower_span_agrees_and_tells_that_it_goes_on():
    value = ask(doublings(), D, ["1", "3"], ["Fl"], with_=["Vl I"], octaves=1)
    assert value["flag"] == "agrees"
    assert "bar 6" in value["note"]


def test_a_span_half_true_is_partly_with_the_true_span():
    value = ask(doublings(), D, ["3", "8"], ["Fl"], with_=["Vl I"], octaves=1)
    assert (value["flag"], value["place"], value["relation"]) == ("partly", "near", "right")
    assert "bars 1–6" in value["sentence"]
    assert value["truth"]["claim"]["bars"] == ["3", "6"]


@pytest.mark.parametrize("octaves", [0, 2, -1])
def test_another_octave_count_is_partly(octaves):
    value = ask(doublings(), D, ["1", "4"], ["Fl"], with_=["Vl I"], octaves=octaves)
    assert (value["flag"], value["cause"], value["degree"]) == ("partly", "octave-count", "near")
    assert value["truth"]["claim"]["octaves"] == 1
    turned = "only which of them is above is the other way round" in value["sentence"]
    assert turned is (octaves == -1)


def test_another_count_and_the_other_way_round():
    value = ask(doublings(), D, ["1", "4"], ["Fl"], with_=["Vl I"], octaves=-2)
    assert value["cause"] == "octave-count"
    assert "number of octaves is another, and so is which" in value["sentence"]


def test_bass_taken_as_written():
    # trade-facts 12.15: cello and bass written alike are an octave apart, not in unison.
    value = ask(doublings(), D, ["1", "4"], ["Cb"], with_=["Vc"], octaves=0)
    assert (value["flag"], value["cause"]) == ("partly", "bass-written")
    assert value["truth"]["claim"]["octaves"] == -1


def test_three_octaves_to_the_bass():
    # trade-facts 12.14: violin I over the bass, written two octaves, sounding three.
    value = ask(doublings(), D, ["1", "4"], ["Vl I"], with_=["Cb"], octaves=2)
    assert (value["flag"], value["cause"]) == ("partly", "bass-written")


def test_thirds_called_a_doubling():
    # trade-facts 12.16: parallel thirds are no doubling.
    value = ask(doublings(), D, ["1", "4"], ["Ob"], with_=["Vl I"], octaves=None)
    assert (value["flag"], value["cause"]) == ("conflicts", "third-as-octave")
    assert value["truth"]["claim"]["negated"] is True


def test_two_clarinets_alike_are_misread_together_or_not_at_all():
    # In A both, a minor third apart: one at written pitch would be in unison with the other.
    lines = {"Cl": "C5 q D5 E5 F5 | G5 E5 D5 C5", "Clar": "A4 q B4 C#5 D5 | E5 C#5 B4 A4"}
    made = table(lines, transpose={"Cl": -3, "Clar": -3})
    value = ask(made, D, ["1", "2"], ["Cl"], with_=["Clar"], octaves=0)
    assert (value["flag"], value["cause"]) == ("conflicts", "third-as-octave")


def test_sixths_called_octaves():
    value = ask(doublings(), D, ["1", "4"], ["Cl"], with_=["Vl I"], octaves=-1)
    assert (value["flag"], value["cause"]) == ("conflicts", "sixth-as-octave")


def test_a_horn_read_untransposed():
    # trade-facts 12.1: horn in Eb, written C5, sounds Eb4.
    value = ask(doublings(), D, ["5", "8"], ["Cor in Eb"], with_=["Vl I"], octaves=0)
    assert (value["flag"], value["cause"]) == ("conflicts", "untransposed")
    assert "9 semitones lower" in value["sentence"]


def test_lines_that_only_meet():
    value = ask(doublings(), D, ["5", "6"], ["Vla"], with_=["Vc"], octaves=None)
    assert (value["flag"], value["cause"]) == ("conflicts", "contact")


def test_resting_instead_of_doubling_conflicts_with_rests_as_evidence():
    value = ask(doublings(), D, ["1", "4"], ["Cor in Eb"], with_=["Vl I"], octaves=0)
    assert value["flag"] == "conflicts"
    assert {"part": "P5", "bars": [0, 3], "rests": True} in value["evidence"]


def test_one_bar_off_and_pickup_counted():
    late = table({"Fl": f"r | r | {TUNE}".replace("5", "6"), "Vl I": f"C5 w | D5 | {TUNE}"})
    value = ask(late, D, ["2", "5"], ["Fl"], with_=["Vl I"], octaves=1)
    assert (value["flag"], value["cause"]) == ("partly", "bar-offset")
    # the pickup counted as bar 1: everything said one bar too late
    words = f"r | {TUNE} | r"
    upbeat = table({"Fl": words.replace("5", "6"), "Vl I": words}, pickup=1)
    value = ask(upbeat, D, ["2", "5"], ["Fl"], with_=["Vl I"], octaves=1)
    assert (value["flag"], value["cause"]) == ("partly", "pickup")
    assert "pickup" in value["sentence"]


def test_a_place_and_a_pitch_misreading_together():
    words = f"r | {TUNE} | r"
    low = words.replace("5", "3")
    made = table({"Vc": words.replace("5", "4"), "Cb": low}, pickup=1)
    value = ask(made, D, ["2", "5"], ["Cb"], with_=["Vc"], octaves=0)
    assert value["flag"] == "partly"
    assert value["cause"] in ("pickup", "bass-written")


def test_a_subset_is_right_with_others_not_counted():
    # Completeness does not count for doublings: others go into a note.
    value = ask(doublings(), D, ["1", "4"], ["Fl", "Vc"], with_=["Vl I"])
    assert value["flag"] == "agrees"
    assert "Fg and Cb" in value["note"]


def test_one_part_of_three_not_so_is_near():
    value = ask(doublings(), D, ["1", "4"], ["Fl", "Fg", "Vla"], with_=["Vl I"], octaves=None)
    assert (value["flag"], value["parts"]) == ("partly", "near")
    assert len(value["truth"]["claim"]["parts"]) == 2


def test_one_part_of_two_not_so_conflicts():
    value = ask(doublings(), D, ["1", "4"], ["Fl", "Vla"], with_=["Vl I"], octaves=None)
    assert (value["flag"], value["parts"]) == ("conflicts", "wrong")


def test_direction_false_counts_only():
    value = ask(doublings(), D, ["1", "4"], ["Fl"], with_=["Vl I"], octaves=-1, direction=False)
    assert value["flag"] == "agrees"


# --- how fully (contract: met shares .9 / .8 / .3 / .1) -----------------------


def partial(kept: int) -> claims.Answer:
    """Ten bars of eight quavers; the oboe has the first `kept` of each bar, then other notes."""
    bar = "C5 e D5 E5 F5 G5 F5 E5 D5"
    names = bar.replace(" e", "").split()
    other = ["A4", "G4", "A4", "B4", "A4", "B4", "A4", "B4"]
    mixed = names[:kept] + other[kept:]
    text = f"{mixed[0]} e " + " ".join(mixed[1:])
    return table({"Ob": " | ".join([text] * 10), "Vl I": " | ".join([bar] * 10)})


def test_partial_called_full_is_partly_with_the_share():
    value = ask(partial(5), D, ["1", "10"], ["Ob"], with_=["Vl I"], octaves=0)
    assert (value["flag"], value["relation"]) == ("partly", "near")
    assert value["cause"] == "partial-as-full"
    assert "of 80" in value["sentence"] or "of 7" in value["sentence"]


def test_partial_called_partial_agrees():
    value = ask(partial(5), D, ["1", "10"], ["Ob"], with_=["Vl I"], octaves=0, coverage="partial")
    assert value["flag"] == "agrees"


def test_simplified_agrees_and_full_is_partly():
    plain = table({"Cl": "C5 h E5 | G5 D5 | C5 E5 | G5 C5", "Vl I": TUNE})
    for coverage, flag in (
        ("simplified", "agrees"),
        ("heterophonic", "agrees"),
        ("full", "partly"),
    ):
        value = ask(plain, D, ["1", "4"], ["Cl"], with_=["Vl I"], octaves=0, coverage=coverage)
        assert value["flag"] == flag, coverage


def test_who_plays_the_simpler_version_counts():
    plain = table({"Cl": "C5 h E5 | G5 D5 | C5 E5 | G5 C5", "Vl I": TUNE})
    fuller = {"with_": ["Cl"], "octaves": 0}
    value = ask(plain, D, ["1", "4"], ["Vl I"], coverage="simplified", **fuller)
    assert value["flag"] == "partly"
    assert "Vl I plays more notes" in value["sentence"]
    value = ask(plain, D, ["1", "4"], ["Vl I"], coverage="heterophonic", **fuller)
    assert value["flag"] == "agrees", "two versions of one line, whoever is named first"


# --- nobody -------------------------------------------------------------------


def test_nobody_doubles_agrees():
    assert ask(doublings(), D, ["1", "2"], ["Vla"], coverage="none")["flag"] == "agrees"


def test_nobody_doubles_conflicts_with_the_doublers_notes():
    value = ask(doublings(), D, ["1", "4"], ["Vl I"], coverage="none")
    assert value["flag"] == "conflicts"
    assert any(i.startswith("n0-") for i in ids(value))


def test_nobody_doubles_half_of_the_time_is_partly():
    value = ask(doublings(), D, ["3", "6"], ["Vc"], coverage="none")
    assert (value["flag"], value["place"]) == ("partly", "near")
    assert value["truth"]["claim"]["bars"] == ["5", "6"]


def test_bars_of_rest_speak_neither_for_nor_against():
    made = table({"Ob": f"{TUNE} | r | r", "Vl I": "G4 w | A4 | B4 | C5 | D5 | E5"})
    value = ask(made, D, ["3", "6"], ["Ob"], coverage="none")
    assert value["flag"] == "agrees"
    assert "rests in bars 5–6" in value["note"]


def test_a2_is_no_doubling_by_another_part():
    # trade-facts 7.2: a 2 = both players the same notes, one line.
    value = ask(shared(), D, ["1", "2"], ["Fl"], coverage="none")
    assert value["flag"] == "agrees"
    assert "two players" in value["note"]


def test_a_part_at_rest_is_not_undoubled():
    assert ask(doublings(), D, ["1", "4"], ["Cor in Eb"], coverage="none")["flag"] == "ear"


# --- levels -------------------------------------------------------------------


def test_levels_agree_and_octave_words_are_levels():
    # Contract "Octave words": three octaves = three levels, 24 semitones from end to end.
    everyone = ["Fl", "Vl I", "Vc", "Cb", "Fg"]
    assert ask(doublings(), D, ["1", "4"], everyone, levels=4)["flag"] == "agrees"


def test_wrong_number_of_levels_is_partly():
    value = ask(doublings(), D, ["1", "4"], ["Fl", "Vl I", "Vc", "Cb"], levels=5)
    assert (value["flag"], value["cause"]) == ("partly", "octave-count")


def test_levels_are_complete_or_near():
    value = ask(doublings(), D, ["1", "4"], ["Fl", "Vl I"], levels=2)
    assert (value["flag"], value["degree"]) == ("partly", "near")


def test_levels_of_lines_that_do_not_go_together_conflict():
    value = ask(doublings(), D, ["1", "4"], ["Vla", "Vl I"], levels=2)
    assert value["flag"] == "conflicts"


# --- denied -------------------------------------------------------------------


def test_denied_and_true():
    value = ask(doublings(), D, ["1", "4"], ["Vla"], with_=["Vl I"], negated=True)
    assert value["flag"] == "agrees"


def test_denied_but_so_conflicts_with_the_counter_example():
    value = ask(doublings(), D, ["1", "4"], ["Fl"], with_=["Vl I"], negated=True)
    assert value["flag"] == "conflicts"
    assert ids(value)
    assert value["truth"]["claim"]["negated"] is False


def test_denied_at_another_distance_agrees():
    value = ask(doublings(), D, ["1", "4"], ["Fl"], with_=["Vl I"], octaves=2, negated=True)
    assert value["flag"] == "agrees"


def test_no_pitch_reading_is_tried_for_a_denial():
    # On paper the horn has the tune; the denial is right in sound.
    value = ask(doublings(), D, ["5", "8"], ["Cor in Eb"], with_=["Vl I"], negated=True)
    assert (value["flag"], value["cause"]) == ("agrees", None)


# --- the tutor's word ---------------------------------------------------------


def word(says, value=None, first=0, last=3, lines=(0, 5), overruled=None):
    return claims.Overruling("doubling", first, last, lines, says, value, overruled, "I hear it so")


def test_an_absent_finding_is_gone_and_said_so():
    value = ask(
        doublings(), D, ["1", "4"], ["Fl"], with_=["Vl I"], octaves=1, overrules=[word("absent")]
    )
    assert value["flag"] == "conflicts"


def test_an_added_finding_counts_with_confidence_one():
    added = word("added", {"parts": ["P7"], "with": ["P6"], "octaves": 0}, lines=(6, 5))
    value = ask(doublings(), D, ["1", "4"], ["Vla"], with_=["Vl I"], octaves=0, overrules=[added])
    assert (value["flag"], value["confidence"]) == ("agrees", 1.0)
    assert "tutor" in value["sentence"]


def test_another_value_replaces_the_computed_one():
    other = word("other", {"parts": ["P1"], "with": ["P6"], "octaves": 2})
    asked = {"with_": ["Vl I"], "overrules": [other]}
    assert ask(doublings(), D, ["1", "4"], ["Fl"], octaves=2, **asked)["flag"] == "agrees"
    assert ask(doublings(), D, ["1", "4"], ["Fl"], octaves=1, **asked)["flag"] == "partly"
    # seen from the other side, the octaves are turned round
    turned = ask(doublings(), D, ["1", "4"], ["Vl I"], with_=["Fl"], octaves=-2, overrules=[other])
    assert turned["flag"] == "agrees"


def test_a_mixed_span_is_judged_bar_by_bar():
    half = word("absent", first=0, last=1)
    value = ask(doublings(), D, ["1", "4"], ["Fl"], with_=["Vl I"], octaves=1, overrules=[half])
    assert (value["flag"], value["place"]) == ("partly", "near")


# --- asked badly --------------------------------------------------------------


@pytest.mark.parametrize(
    "fields",
    [
        {"parts": ["Fl"]},
        {"parts": [], "with_": ["Vl I"]},
        {"parts": ["Fl"], "with_": ["Vl I"], "levels": 3},
        {"parts": ["Fl"], "with_": ["Vl I"], "octaves": "two"},
        {"parts": ["Fl"], "with_": ["Vl I"], "octaves": 2.5},
        {"parts": ["Fl"], "with_": ["Vl I"], "coverage": "much"},
        {"parts": ["Fl"], "with_": ["Tuba"]},
        {"parts": ["Fl"], "with_": ["Vl I"], "colour": "warm"},
    ],
)
def test_a_question_comes_back(fields):
    parts = fields.pop("parts")
    value = ask(doublings(), D, ["1", "4"], parts, **fields)
    assert (value["flag"], value["cause"]) == ("ear", "not-understood")


def test_rests_of_both_is_no_doubling():
    silent = table({"Fl": f"{R} | {TUNE}", "Vl I": f"{R} | {TUNE}"})
    assert ask(silent, D, ["1", "3"], ["Fl"], with_=["Vl I"])["flag"] != "agrees"
