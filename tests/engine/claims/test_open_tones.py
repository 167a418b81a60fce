"""Open tones against trade-facts 3.4, 3.5 and 12 (assertions 20-23)."""

from __future__ import annotations

import pytest

from ..tables import table
from .asking import ask

K = "open-tones"


def piece():
    return table(
        {
            "Cor in E 1": "E4 w | B3 | G#4 | E4",
            "Cor in G": "G4 w | D4 | B4 | G4",
            "Cor in D": "D4 w | A3 | D4 | F#4",
            "Cor in C basso": "C4 w | G3 | C4 | E4",
            "Tr in D": "D5 w | A4 | D5 | r",
            "Cor in Eb": "r | r | r | r",
            "Vl I": "B5 w | B5 | B5 | B5",
        }
    )


# trade-facts 3.4: true open pitch classes by crook
OPEN = {
    "Cor in E 1": ("E", "E B G# F# D#"),
    "Cor in G": ("G", "G D B A F#"),
    "Cor in D": ("D", "D A F# E C#"),
    "Cor in C basso": ("C basso", "C G E D B"),
    "Cor in Eb": ("Eb", "Eb Bb G F D"),
    "Tr in D": ("D", "D F# A E C#"),
}


@pytest.mark.parametrize("part", OPEN)
def test_the_table_of_open_tones(part):
    crook, pitches = OPEN[part]
    value = ask(piece(), K, ["1", "4"], [part], crook=crook, pitches=pitches.split())
    assert value["flag"] == "agrees"


def test_missing_tones_agree_and_the_hand_is_mentioned():
    value = ask(piece(), K, ["1", "4"], ["Cor in E 1"], crook="E", missing=["G", "F"])
    assert value["flag"] == "agrees"
    assert "hand" in value["note"]


def test_claimed_open_but_not_conflicts():
    # trade-facts 12.20: horn in Eb, sounding Ab3 is not open.
    value = ask(piece(), K, ["1", "4"], ["Cor in Eb"], crook="Eb", pitches=["Ab3"])
    assert value["flag"] == "conflicts"
    assert "hand" in value["note"]
    assert ask(piece(), K, ["1"], ["Cor in Eb"], crook="Eb", pitches=["Bb3"])["flag"] == "agrees"


def test_a_trumpet_has_no_hand():
    value = ask(piece(), K, ["1", "4"], ["Tr in D"], crook="D", pitches=["G4"])  # 12.23
    assert value["flag"] == "conflicts"
    assert "hand" not in value["note"]


@pytest.mark.parametrize(("part", "crook", "pitch"), [("Cor in D", "D", "C4")])
def test_partials_7_11_13_14_go_to_the_ear(part, crook, pitch):
    # trade-facts 12.21: horn in D, sounding C4 is partial 7.
    for field in ("pitches", "missing"):
        assert ask(piece(), K, ["1"], [part], crook=crook, **{field: [pitch]})["flag"] == "ear"


def test_missing_but_open_conflicts():
    assert ask(piece(), K, ["1"], ["Cor in D"], crook="D", missing=["A"])["flag"] == "conflicts"


def test_the_wrong_crook_conflicts():
    value = ask(piece(), K, ["1"], ["Cor in D"], crook="F", pitches=["A"])
    assert (value["flag"], value["degree"]) == ("conflicts", "wrong")
    assert value["truth"]["claim"]["crook"] == "D"


def test_each_alone_and_both_together():
    # trade-facts 3.4: E and G together have E, G and B, the whole chord of E minor.
    pair = ["Cor in E 1", "Cor in G"]
    together = ask(piece(), K, ["1", "4"], pair, pair=pair, pitches=["E", "G", "B"])
    assert together["flag"] == "agrees"
    assert ask(piece(), K, ["1", "4"], pair, pitches=["E", "G", "B"])["flag"] == "conflicts"


def test_german_and_italian_names():
    assert ask(piece(), K, ["1"], ["Cor in Eb"], crook="Es", pitches=["B flat", "sol"])["flag"] == (
        "agrees"
    )


def test_strings_have_no_crook():
    assert ask(piece(), K, ["1"], ["Vl I"], pitches=["C"])["flag"] == "ear"


def test_denied():
    asked = {"crook": "D", "pitches": ["G4"]}
    assert ask(piece(), K, ["1"], ["Tr in D"], negated=True, **asked)["flag"] == "agrees"
    asked["pitches"] = ["A4"]
    assert ask(piece(), K, ["1"], ["Tr in D"], negated=True, **asked)["flag"] == "conflicts"


@pytest.mark.parametrize(
    "fields", [{}, {"pitches": []}, {"crook": "Q"}, {"pitches": ["C"], "pair": ["Cor in D"]}]
)
def test_a_question_comes_back(fields):
    assert ask(piece(), K, ["1"], ["Cor in D"], **fields)["cause"] == "not-understood"
