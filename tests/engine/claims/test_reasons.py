"""Why: denied statements name what there is instead, unsure ones never take back what they said.

Contract 3, "Negated" (agrees if the fact holds in no claimed bar, conflicts with the
counter-example), and the promise that a flag is never without its reason.
"""

from __future__ import annotations

import re

import pytest

from analysis.engine.analyses import analyse
from analysis.engine.analyses.runs import pair_runs
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table
from .asking import ask, ids, region, role
from .pieces import doublings, forces, shared

D, P = "doubling", "playing"


@pytest.mark.parametrize(
    ("part", "instead"),
    [("Ob", "Ob and Vl I move in thirds in bars 1–4."),
     ("Cl", "Cl and Vl I move in sixths in bars 1–4."),
     ("Cor in Eb", "Cor in Eb rests in bars 1–4."),
     ("Vla", "Vla and Vl I only meet on 2 of 25 notes.")],
)  # fmt: skip
def test_a_right_denial_says_what_they_do_instead(part, instead):
    value = ask(doublings(), D, ["1", "4"], [part], with_=["Vl I"], negated=True)
    assert value["flag"] == "agrees"
    assert value["sentence"] == f"Yes: {part} doubles Vl I nowhere in bars 1–4. {instead}"
    assert instead not in value["note"]


def test_a_denial_that_is_not_so_names_the_counter_example():
    value = ask(doublings(), D, ["1", "8"], ["Fl"], with_=["Vl I"], negated=True)
    assert value["flag"] == "conflicts"
    assert "bars 1–6" in value["sentence"]
    assert "Fl doubles Vl I one octave higher." in value["sentence"]
    assert {i.split("-")[0] for i in ids(value)} == {"n0", "n5"}  # of both lines


@pytest.mark.parametrize(
    ("made", "kind", "bars", "parts", "fields", "flag", "reason"),
    [
        (forces, P, ["1", "2"], ["Ob"], {"mode": "play"}, "agrees", "Ob rests in bars 1–2."),
        (forces, P, ["1", "4"], ["Ob"], {"mode": "play"}, "conflicts", "Ob plays in bars 3–4."),
        (forces, P, ["1"], [], {"mode": "tutti"}, "agrees", "Timp rest there."),
        (forces, P, ["3", "4"], ["strings"], {"mode": "only"}, "agrees", "Timp play as well."),
        (forces, P, ["7"], [], {"mode": "silence"}, "conflicts", "Nobody sounds in bar 7."),
        (shared, "crossing", ["1"], [], {"upper": "Vl II", "lower": "Vla"}, "agrees",
         "Vla sounds above Vl II in bars 2–3, not in bar 1."),
        (shared, "crossing", ["1", "3"], [], {"upper": "Vl II", "lower": "Vla"}, "conflicts",
         "Vla sounds above Vl II in bars 2–3."),
        (shared, "range", ["1", "4"], ["Vl I"], {"extreme": "highest", "pitch": "C6",
         "within": "passage"}, "agrees", "The highest note of Vl I in these bars is E5, in bar 1."),
        (doublings, D, ["1", "4"], ["Vl I"], {"coverage": "none"}, "agrees", "Fl doubles Vl I"),
        (doublings, "reinforcement", ["1", "4"], ["Fg"], {"with": ["Vl I"], "by": "pitch"},
         "agrees", "Fg has all notes of Vl I in bars 1–4."),
    ],
)  # fmt: skip
def test_denials_of_every_kind_have_a_reason(made, kind, bars, parts, fields, flag, reason):
    value = ask(made(), kind, bars, parts, negated=True, **fields)
    assert value["flag"] == flag
    assert reason in value["sentence"]
    assert value["evidence"]


# --- sure or not --------------------------------------------------------------


def test_a_key_is_said_as_a_sentence():
    made = doublings()
    for bars, words in ((["1", "4"], "bars 1–4"), (["2"], "bar 2")):
        asked = {"findings": [region(made, 0, 3, "c major", 0.95)], "key": "c major"}
        value = ask(made, "key", bars, how="region", **asked)
        assert value["sentence"] == f"Yes: In {words} I read C major."


def test_an_unsure_key_and_role_are_never_said_as_sure():
    made = doublings()
    found = [region(made, 0, 3, "c major", 0.4), role(made, 5, 0, 3, "melody", 0.35)]
    key = ask(made, "key", ["1", "4"], findings=found, key="c major", how="region")
    assert key["sentence"] == "For your tutor's ear: In bars 1–4 I read C major, but not surely."
    told = ask(made, "role", ["1", "4"], ["Vl I"], findings=found, role="melody")
    assert told["flag"] == "ear"
    assert "I read Vl I as melody in bars 1–4, but not surely." in told["sentence"]
    assert "not sure enough" not in told["sentence"]
    denied = ask(made, "key", ["1", "4"], findings=found, key="g major", how="region", negated=True)
    assert "but not surely" in denied["sentence"]


def test_one_beat_is_one_beat():
    made = table({"Fl": "C5 q D5 r E5 | C5 w | D5 w", "Vl I": "C5 q D5 r E5 | C5 w | D5 w"})
    said = [render(f.sentence) for f in analyse(made) if f.value.get("mode") == "silence"]
    assert len(said) == 1
    assert "(one beat)" in said[0]
    assert not re.search(r"\b1 (beats|bars)\b", said[0])


# --- no contact where there is more -------------------------------------------


def picked_out():
    """Ob holds C5, D5, E5 for a bar each: 3 of the 14 notes of Fl, which go on without it."""
    return table(
        {
            "Fl": "C5 q G5 F5 A5 | D5 q A5 G5 B5 | E5 q A5 B5 A5 | F5 h G5",
            "Ob": "C5 w | D5 w | E5 w | A4 w",
        }
    )


def test_a_reinforcement_is_no_contact():
    # contract 3: .1-.3 with three met is a reinforcement; contact is less
    made = picked_out()
    assert [r.coverage for r in pair_runs(made, 0, 1, Settings())] == ["reinforcement"]
    value = ask(made, D, ["1", "3"], ["Ob"], with_=["Fl"], octaves=0)
    assert value["flag"] == "conflicts"
    assert value["cause"] != "contact"
    assert "only meet" not in value["sentence"]
    assert "picks out" in value["sentence"]


def test_a_place_reading_goes_with_a_pitch_reading_only():
    """Step 2 of the contract: what a pair is instead is asked of the bars it names, no others."""
    thirds = "A4 q B4 C5 D5 | E5 C5 B4 A4 | A4 B4 C5 D5"
    tune = "C5 q D5 E5 F5 | G5 E5 D5 C5 | C5 D5 E5 F5"
    made = table(
        {
            "Ob": f"{thirds} | C5 e D5 E5 F5 G5 F5 E5 D5 | r",
            "Vl I": f"{tune} | B3 q G3 B3 G3 | C5 w",
        }
    )
    here = ask(made, D, ["1", "3"], ["Ob"], with_=["Vl I"], octaves=0)
    assert here["cause"] == "third-as-octave"
    beside = ask(made, D, ["2", "4"], ["Ob"], with_=["Vl I"], octaves=0)
    assert beside["cause"] not in {"third-as-octave", "sixth-as-octave", "contact"}
    assert "one bar off" not in beside["sentence"]
