"""From verdicts to flag, row by row as the contract has it."""

from __future__ import annotations

import re

import pytest

from analysis.engine import sentences
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bars, Judgement
from analysis.engine.claims.facts import combine_units, place_verdict
from analysis.engine.claims.occurrences import place_verdict as occurs
from analysis.engine.claims.overrules import Overruling, effective
from analysis.engine.claims.readings import READINGS
from analysis.engine.claims.verdict import flag_of
from analysis.engine.model import Evidence, Sentence
from analysis.engine.settings import Settings

from .asking import region
from .pieces import doublings

S = Settings()
NOTE = (Evidence(ids=("n0-0-0",)),)


@pytest.mark.parametrize(
    ("verdicts", "contrary", "flag"),
    [
        ("right right right right", True, "agrees"),
        ("near right right right", True, "partly"),
        ("near near right right", True, "partly"),
        ("near near near right", True, "ear"),  # three near misses
        ("wrong right right right", True, "conflicts"),
        ("wrong right right right", False, "ear"),  # no contrary evidence
        ("wrong open right right", True, "ear"),  # something open
        ("near open right right", True, "ear"),
        ("near near near wrong", True, "conflicts"),
    ],
)
def test_flags(verdicts, contrary, flag):
    place, parts, relation, degree = verdicts.split()
    judgement = Judgement(place, parts, relation, degree, contrary=NOTE if contrary else ())
    assert flag_of(judgement, S) == flag


@pytest.mark.parametrize(
    ("confidence", "judged", "flag"),
    [(0.95, True, "conflicts"), (0.85, True, "ear"), (0.85, False, "conflicts"),
     (0.69, False, "ear")],
)  # fmt: skip
def test_confidence(confidence, judged, flag):
    wrong = Judgement(relation="wrong", contrary=NOTE, confidence=confidence, judged=judged)
    assert flag_of(wrong, S) == flag


def test_shares_of_true_bars():
    bars = Bars(10, 13, 0, 1)
    assert place_verdict({10, 11, 12, 13, 14}, bars, S) == "right"
    assert place_verdict({12, 13, 14}, bars, S) == "near"  # half
    assert place_verdict({13}, bars, S) == "wrong"


def test_occurrences():
    assert occurs([(12, 12)], Bars(10, 13, 0, 1), S) == "right"
    assert occurs([(12, 12)], Bars(10, 17, 0, 1), S) == "right"  # eight bars
    assert occurs([(12, 12)], Bars(10, 18, 0, 1), S) == "near"  # nine
    assert occurs([(14, 14)], Bars(10, 13, 0, 1), S) == "near"
    assert occurs([(15, 15)], Bars(10, 13, 0, 1), S) == "wrong"


def test_parts():
    good, bad = ("right", "right", "right"), ("right", "wrong", "right")
    assert combine_units([good, good, bad])[1] == "near"
    assert combine_units([good, bad])[1] == "wrong"
    assert combine_units([good, good, bad, bad])[1] == "wrong"
    assert combine_units([bad, bad])[1] == "right"  # then the relation is wrong, not the parts


def test_readings_stand_in_the_contracts_order():
    codes = [r.code for r in READINGS]
    flags = [r.flag for r in READINGS]
    order = ["synonym", "edition", "pickup", "ending", "pass", "bar-offset", "player",
             "bass-written", "old-bass-clef", "cello-treble", "octave-count", "partial-as-full",
             "untransposed", "reversed", "clef", "german-b", "third-as-octave", "sixth-as-octave",
             "contact", "relative-key", "parallel-key", "tonicisation"]  # fmt: skip
    assert codes == order
    assert flags == ["agrees"] * 2 + ["partly"] * 10 + ["conflicts"] * 7 + ["partly"] * 2 + ["ear"]


def test_overruled_findings():
    t = doublings()
    found = [region(t, 0, 7, "c major", 0.8)]
    gone = Overruling("key", 2, 3, (), "absent")
    left = effective(found, [gone], t)
    assert [(f.first, f.last) for f in left] == [(0, 1), (4, 7)]
    other = Overruling("key", 2, 3, (), "other", {"key": "g major", "how": "region"}, None, "look")
    left = effective(found, [other], t)
    assert [(f.value["key"], f.first, f.last, f.confidence) for f in left] == [
        ("c major", 0, 1, 0.8), ("g major", 2, 3, 1.0), ("c major", 4, 7, 0.8),
    ]  # fmt: skip
    assert effective(left, [other], t) == left  # twice changes nothing
    assert effective(found, [Overruling("role", 2, 3, (), "absent")], t) == found


def test_words_are_put_late_and_in_any_language():
    said = speech.say("claim.playing.rest", parts=["Fl", "Ob"], bars=speech.bars(doublings(), 0, 3))
    assert speech.render(said) == "Fl and Ob rest in bars 1–4."
    one = speech.say("claim.playing.rest", parts=["Fl"], bars=speech.bars(doublings(), 0, 0))
    assert speech.render(one) == "Fl rests in bar 1."
    german = {"{parts} rest in {bars}.": "{parts} pausieren in {bars}.", "{first} and {last}":
              "{first} und {last}", "bars {first}–{last}": "Takt {first}–{last}"}  # fmt: skip
    assert speech.render(said, lambda t: german.get(t, t)) == "Fl und Ob pausieren in Takt 1–4."


@pytest.mark.parametrize(
    ("label", "verb"),
    [("Trombe 1, 2 in Mi", "rest"), ("Corni 1, 2", "rest"), ("Flauti", "rest"),
     ("Flauto 1", "rests"), ("Violino I", "rests"), ("Tromba 1 in Mi", "rests")],
)  # fmt: skip
def test_a_plural_name_takes_a_plural_verb(label: str, verb: str):
    alone = speech.say("claim.doubling.rests", part=label)
    assert speech.render(alone) == f"{label} {verb} there."
    listed = speech.say("claim.playing.rest", parts=[label], bars=speech.bars(doublings(), 0, 0))
    assert speech.render(listed) == f"{label} {verb} in bar 1."
    both = speech.say("claim.playing.part", part=label, playing="x", resting="y")
    assert speech.render(both) == f"{label} {verb.replace('rest', 'play')} in x and {verb} in y."


def test_a_sentence_of_a_plural_asks_for_nothing_its_singular_does_not_give():
    named = [k for k in sentences.TEMPLATES if k.startswith("claim.") and k.endswith(".many")]
    plural = [k for k in named if k.removesuffix(".many") in sentences.TEMPLATES]
    assert len(plural) > 50
    for key in plural:
        one, many = sentences.TEMPLATES[key.removesuffix(".many")], sentences.TEMPLATES[key]
        assert sorted(re.findall(r"{\w+}", one)) == sorted(re.findall(r"{\w+}", many)), key
        assert one != many, key


def test_every_sentence_in_which_a_part_rests_or_plays_has_its_plural():
    for key, text in sentences.TEMPLATES.items():
        if key.startswith("claim.") and re.search(r"{part} (rests|plays|doubles|does)\b", text):
            assert f"{key}.many" in sentences.TEMPLATES, key


def test_no_template_shames():
    own = {k: v for k, v in sentences.TEMPLATES.items() if k.startswith("claim.")}
    assert len(own) > 60
    for text in own.values():
        assert not {"wrong", "error", "mistake", "failed"} & set(text.casefold().split())


def test_sentence_of_the_contract():
    assert isinstance(speech.say("claim.place.nowhere"), Sentence)
