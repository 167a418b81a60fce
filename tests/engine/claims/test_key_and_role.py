"""The judged kinds: they rest on findings, and on how sure these are."""

from __future__ import annotations

import pytest

from analysis.engine import claims
from analysis.engine.claims import role_chances
from analysis.engine.settings import Settings
from tests.engine.tables import table

from .asking import ask, region, role
from .pieces import doublings


def keys(confidence: float = 0.95):
    t = doublings()
    return [
        region(t, 0, 3, "c major", confidence),
        region(t, 4, 7, "eb major", confidence),
        region(t, 4, 4, "eb major", confidence, how="arrives"),
    ]


def test_a_region_agrees_and_a_wider_one_is_partly():
    t, found = doublings(), keys()
    assert ask(t, "key", ["1", "4"], key="c major", how="region", findings=found)["flag"] == (
        "agrees"
    )
    assert ask(t, "key", ["1", "4"], key="C-Dur", how="region", findings=found)["flag"] == "agrees"
    value = ask(t, "key", ["1", "6"], key="do majeur", how="region", findings=found)
    assert (value["flag"], value["place"]) == ("partly", "near")


def test_enharmonic_names_are_one_key_with_a_note():
    value = ask(doublings(), "key", ["5", "8"], key="d# major", how="region", findings=keys())
    assert value["flag"] == "agrees"
    assert "E flat major" in value["note"]


def test_another_key_conflicts_only_when_sure():
    t = doublings()
    asked = {"key": "g major", "how": "region"}
    assert ask(t, "key", ["1", "4"], findings=keys(0.95), **asked)["flag"] == "conflicts"
    assert ask(t, "key", ["1", "4"], findings=keys(0.85), **asked)["flag"] == "ear"


def test_unsure_agreement_goes_to_the_ear_by_the_tutors_setting():
    t, found = doublings(), keys(0.45)
    asked = {"key": "c major", "how": "region", "findings": found}
    assert ask(t, "key", ["1", "4"], **asked)["flag"] == "ear"
    eager = Settings(key_confidence=0.4)
    assert ask(t, "key", ["1", "4"], settings=eager, **asked)["flag"] == "agrees"


@pytest.mark.parametrize(
    ("key", "cause"), [("a minor", "relative-key"), ("c minor", "parallel-key")]
)
def test_relative_and_parallel_are_partly(key, cause):
    value = ask(doublings(), "key", ["1", "4"], key=key, how="region", findings=keys())
    assert (value["flag"], value["cause"]) == ("partly", cause)


def test_arrivals():
    t, found = doublings(), keys()
    asked = {"key": "eb major", "how": "arrives", "findings": found}
    assert ask(t, "key", ["4", "6"], **asked)["flag"] == "agrees"
    assert ask(t, "key", ["6", "7"], **asked)["flag"] == "partly"
    assert ask(t, "key", ["1", "3"], **asked)["flag"] in ("partly", "conflicts")
    value = ask(t, "key", ["2", "3"], key="g major", how="arrives", findings=found)
    assert value["flag"] == "conflicts"


def test_no_findings_go_to_the_ear():
    assert ask(doublings(), "key", ["1", "4"], key="c major", how="region")["flag"] == "ear"


def test_denied_keys():
    t, found = doublings(), keys()
    asked = {"how": "region", "findings": found, "negated": True}
    assert ask(t, "key", ["1", "4"], key="g major", **asked)["flag"] == "agrees"
    assert ask(t, "key", ["1", "4"], key="c major", **asked)["flag"] == "conflicts"


def test_the_tutors_key():
    word = claims.Overruling(
        "key", 0, 3, (), "other", {"key": "g major", "how": "region"}, {"key": "c major"}, "cadence"
    )
    t = doublings()
    asked = {"how": "region", "findings": keys(0.75), "overrules": [word]}
    value = ask(t, "key", ["1", "4"], key="g major", **asked)
    assert (value["flag"], value["confidence"]) == ("agrees", 1.0)
    assert "tutor" in value["sentence"]
    assert ask(t, "key", ["1", "4"], key="f major", **asked)["flag"] == "conflicts"


def passing():
    """C major, but bars 5-6 by themselves are A minor's dominant key: E minor, with D sharp."""
    home, away = "C5+E5+G5 q F5+A5 G5+B5+D5 C5+E5+G5", "E4+G4+B4 q D#4+F#4+B4 E4+G4+B4 F#4+A4+D#4"
    return table({"Vl I": " | ".join([home] * 4 + [away] * 2 + [home] * 2)})


@pytest.mark.parametrize(
    ("bars", "key", "flag"),
    [
        (["5", "6"], "e minor", "ear"),
        (["5", "6"], "ab major", "conflicts"),
        (["1", "2"], "e minor", "conflicts"),
        (["1", "8"], "e minor", "conflicts"),
    ],
)  # common practice, no source: a tonicised key may be named in its own two bars
def test_no_key_is_contradicted_that_the_claimed_bars_alone_speak_for(bars, key, flag):
    t = passing()
    asked = {"key": key, "how": "region", "findings": [region(t, 0, 7, "c major", 0.95)]}
    value = ask(t, "key", bars, **asked)
    assert value["flag"] == flag
    assert ("by themselves" in value["sentence"]) is (flag == "ear")
    denied = ask(t, "key", bars, negated=True, **asked)
    assert denied["flag"] == ("ear" if flag == "ear" else "agrees")


def test_the_tutors_key_stands_against_the_bars_alone():
    t = passing()
    word = claims.Overruling("key", 4, 5, (), "added", {"key": "c major", "how": "region"})
    asked = {"key": "e minor", "how": "region", "overrules": [word]}
    found = [region(t, 0, 3, "c major", 0.95), region(t, 6, 7, "c major", 0.95)]
    assert ask(t, "key", ["5", "6"], findings=found, **asked)["flag"] == "conflicts"


# --- roles --------------------------------------------------------------------


def roles(confidence: float = 0.95):
    t = doublings()
    return [
        role(t, 5, 0, 7, "melody", confidence),
        role(t, 6, 0, 3, "moving harmony", confidence),
        role(t, 8, 0, 3, "bass line", confidence),
    ]


def test_the_role_agrees():
    value = ask(doublings(), "role", ["1", "4"], ["Vl I"], role="melody", findings=roles())
    assert value["flag"] == "agrees"
    assert "bar 8" in value["note"]


def test_a_role_of_one_class_is_partly():
    value = ask(doublings(), "role", ["1", "4"], ["Vla"], role="held harmony", findings=roles())
    assert (value["flag"], value["degree"]) == ("partly", "near")


def test_a_second_tune_is_nearly_the_tune_only_by_the_general_threshold():
    asked = {"bars": ["1", "4"], "findings": roles(0.6)}
    said = {(part, w): ask(doublings(), "role", parts=[part], role=w, **asked)["flag"]
            for part, w in (("Vl I", "melody"), ("Vl I", "countermelody"),
                            ("Vla", "held harmony"))}  # fmt: skip
    assert list(said.values()) == ["agrees", "ear", "partly"]


def test_a_cadence_makes_the_key_before_it_surer():
    t, weak = doublings(), 0.4
    found = [region(t, 0, 3, "c major", weak), region(t, 4, 7, "eb major", weak)]
    asked = {"bars": ["2", "4"], "key": "c major", "how": "region"}
    assert ask(t, "key", findings=found, **asked)["flag"] == "ear"
    closed = [*found, region(t, 3, 3, "c major", 0.81, how="arrives")]
    value = ask(t, "key", findings=closed, **asked)
    assert (value["flag"], value["confidence"]) == ("agrees", 0.81)
    other = [*found, region(t, 3, 3, "g major", 0.81, how="arrives")]
    assert ask(t, "key", findings=other, **asked)["flag"] == "ear"
    asked |= {"bars": ["5", "8"], "key": "eb major"}
    assert ask(t, "key", findings=closed, **asked)["flag"] == "ear"


def chance(monkeypatch: pytest.MonkeyPatch, value: float) -> None:
    """How likely every class of work is in every line."""
    monkeypatch.setattr(role_chances, "class_chance", lambda *_: value)


@pytest.mark.parametrize(
    ("likely", "flag"), [(0.03, "conflicts"), (0.2, "ear"), (0.5, "ear"), (0.97, "ear")]
)
def test_a_claimed_role_conflicts_where_its_class_is_unlikely(monkeypatch, likely, flag):
    chance(monkeypatch, likely)
    value = ask(doublings(), "role", ["1", "4"], ["Cb"], role="melody", findings=roles())
    assert (value["flag"], "bass line" in value["sentence"]) == (flag, True)


def test_rhythm_and_harmony_are_not_denied_by_what_is_likely(monkeypatch):
    chance(monkeypatch, 0.01)
    value = ask(doublings(), "role", ["1", "4"], ["Vl I"], role="pulse", findings=roles())
    assert (value["flag"], value["confidence"]) == ("ear", 0.85)


def test_another_word_of_the_same_class_conflicts_by_the_word(monkeypatch):
    chance(monkeypatch, 0.97)
    asked = {"role": "moving harmony", "findings": roles()}
    assert ask(doublings(), "role", ["1", "4"], ["Cb"], **asked)["flag"] == "conflicts"
    asked["findings"] = roles(0.8)
    assert ask(doublings(), "role", ["1", "4"], ["Cb"], **asked)["flag"] == "ear"


def test_a_part_far_above_the_lowest_is_no_bass_whatever_is_likely(monkeypatch):
    chance(monkeypatch, 0.97)
    asked = {"role": "bass line", "findings": roles(0.5)}
    assert ask(doublings(), "role", ["1", "4"], ["Vl I"], **asked)["flag"] == "conflicts"
    value = ask(doublings(), "role", ["1", "4"], ["Fl"], **asked)
    assert value["flag"] == "conflicts"
    assert "do not read Fl as bass line" in value["sentence"]
    assert ask(doublings(), "role", ["1", "4"], ["Vla"], **asked)["flag"] == "ear"


def test_an_unclear_role_goes_to_the_ear(monkeypatch):
    chance(monkeypatch, 0.6)
    value = ask(doublings(), "role", ["1", "4"], ["Ob"], role="melody", findings=roles())
    assert (value["flag"], value["relation"]) == ("ear", "open")


def test_silence_is_a_role_and_a_fact():
    t = doublings()
    value = ask(t, "role", ["1", "4"], ["Cor in Eb"], role="silence", findings=roles())
    assert value["flag"] == "agrees"
    value = ask(t, "role", ["1", "4"], ["Cor in Eb"], role="melody", findings=roles())
    assert value["flag"] == "conflicts"
    assert any(e.get("rests") for e in value["evidence"])


def test_denied_roles(monkeypatch):
    t = doublings()
    asked = {"findings": roles(), "negated": True}
    chance(monkeypatch, 0.1)
    assert ask(t, "role", ["1", "4"], ["Vla"], role="melody", **asked)["flag"] == "agrees"
    assert ask(t, "role", ["1", "4"], ["Vl I"], role="melody", **asked)["flag"] == "conflicts"
    chance(monkeypatch, 0.4)
    assert ask(t, "role", ["1", "4"], ["Ob"], role="melody", **asked)["flag"] == "ear"


def test_the_tutors_role():
    word = claims.Overruling("role", 0, 3, (1,), "added", {"role": "melody"}, None, "sing it")
    value = ask(
        doublings(), "role", ["1", "4"], ["Ob"], role="melody", findings=roles(), overrules=[word]
    )
    assert (value["flag"], value["confidence"]) == ("agrees", 1.0)
