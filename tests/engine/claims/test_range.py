"""Range: extremes in sounding pitch, or in written where the claim says so."""

from __future__ import annotations

import pytest

from ..tables import table
from .asking import ask

K = "range"


def piece():
    return table(
        {
            "Ob": "C5 w | D6 | E5 | C5 || E6 w",
            "Cl": "C5 w | A5 | E5 | C5 || C5 w",  # in Bb: A5 is written B5
            "Cb": "C2 w | G1 | A1 | E1 || D2 w",
        }
    )


def test_the_highest_note_agrees():
    value = ask(piece(), K, ["2"], ["Ob"], extreme="highest", pitch="D6", within="movement")
    assert value["flag"] == "agrees"
    assert value["evidence"] == [{"ids": ["n0-1-0"]}]


def test_another_spelling_agrees_with_a_note():
    made = table({"Ob": "Eb5 w | D5"})
    value = ask(made, K, ["1"], ["Ob"], extreme="highest", pitch="D#5", within="movement")
    assert value["flag"] == "agrees"
    assert "Eb5" in value["note"]


def test_within_the_work_looks_at_all_movements():
    value = ask(piece(), K, ["2"], ["Ob"], extreme="highest", pitch="D6", within="work")
    assert value["flag"] == "conflicts"
    assert "E6" in value["sentence"]


def test_within_the_passage():
    for pitch, flag in (("E5", "agrees"), ("B5", "conflicts")):
        value = ask(piece(), K, ["3", "4"], ["Ob"], extreme="highest", pitch=pitch,
                    within="passage")  # fmt: skip
        assert value["flag"] == flag


def test_bass_taken_as_written():
    # trade-facts 12.9: written E2 sounds E1.
    value = ask(piece(), K, ["4"], ["Cb"], extreme="lowest", pitch="E2", within="movement")
    assert (value["flag"], value["cause"]) == ("partly", "bass-written")
    assert value["truth"]["claim"]["pitch"] == "E1"


def test_another_octave_is_partly():
    value = ask(piece(), K, ["2"], ["Ob"], extreme="highest", pitch="D5", within="movement")
    assert (value["flag"], value["cause"]) == ("partly", "octave-count")


def test_a_clarinet_read_untransposed():
    value = ask(piece(), K, ["2"], ["Cl"], extreme="highest", pitch="B5", within="movement")
    assert (value["flag"], value["cause"]) == ("conflicts", "untransposed")
    written = {"pitch": "B5", "written": True}
    value = ask(piece(), K, ["2"], ["Cl"], extreme="highest", pitch=written, within="movement")
    assert value["flag"] == "agrees"


def test_the_next_bar_is_partly_and_a_far_one_conflicts():
    asked = {"extreme": "highest", "pitch": "D6", "within": "movement"}
    near = ask(piece(), K, ["3"], ["Ob"], **asked)
    assert (near["flag"], near["place"]) == ("partly", "near")
    assert ask(piece(), K, ["4"], ["Ob"], **asked)["flag"] == "conflicts"


def test_a_silent_part_conflicts_with_its_rests():
    made = table({"Ob": "r | r", "Fl": "C5 w | D5"})
    value = ask(made, K, ["1"], ["Ob"], extreme="highest", pitch="C5", within="movement")
    assert value["flag"] == "conflicts"
    assert value["evidence"] == [{"part": "P1", "bars": [0, 0], "rests": True}]


@pytest.mark.parametrize(("pitch", "flag"), [("D6", "conflicts"), ("C6", "agrees")])
def test_denied(pitch, flag):
    value = ask(piece(), K, ["2"], ["Ob"], extreme="highest", pitch=pitch, within="movement",
                negated=True)  # fmt: skip
    assert value["flag"] == flag


@pytest.mark.parametrize("pitch", ["H9x", "", 5, {"pitch": "C5", "colour": 1}, None])
def test_a_pitch_that_is_none(pitch):
    value = ask(piece(), K, ["2"], ["Ob"], extreme="highest", pitch=pitch, within="movement")
    assert value["cause"] == "not-understood"


def test_a_part_that_rests_has_no_extreme():
    t = table({"Fl": "C5 w | r | E5 w", "Vc": "C3 w | D3 w | C3 w"})
    fields = {"extreme": "highest", "pitch": "B3", "within": "passage"}
    said = ask(t, "range", ["2"], ["Fl"], **fields)
    assert said["flag"] == "conflicts"
    denied = ask(t, "range", ["2"], ["Fl"], negated=True, **fields)
    assert (denied["flag"], denied["evidence"]) == ("agrees", said["evidence"])
