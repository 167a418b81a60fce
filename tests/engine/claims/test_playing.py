"""Playing: who sounds. Tutti by trade-facts 6.2 (every family, four fifths of the lines)."""

from __future__ import annotations

import pytest

from analysis.engine import claims

from ..tables import table
from .asking import ask
from .pieces import forces, shared

P = "playing"


@pytest.mark.parametrize(
    ("bars", "parts", "mode"),
    [
        (["1", "2"], ["strings"], "only"),
        (["1", "5"], ["Vl I"], "play"),
        (["1", "5"], ["archi"], "play"),
        (["6", "7"], ["Streicher"], "rest"),
        (["6", "6"], ["winds"], "only"),
        (["3", "4"], [], "tutti"),
        (["7"], [], "silence"),
        (["0"], ["the firsts"], "only"),
    ],
)
def test_true_claims_agree(bars, parts, mode):
    assert ask(forces(), P, bars, parts, mode=mode)["flag"] == "agrees"


@pytest.mark.parametrize(
    ("bars", "parts", "mode"),
    [
        (["3", "4"], ["strings"], "only"),
        (["1", "4"], ["Vl I"], "rest"),
        (["3", "6"], [], "silence"),
        (["1"], [], "tutti"),
    ],
)
def test_false_claims_conflict_with_evidence(bars, parts, mode):
    value = ask(forces(), P, bars, parts, mode=mode)
    assert value["flag"] == "conflicts"
    assert value["evidence"]


def test_rests_are_evidence_against_playing():
    value = ask(forces(), P, ["1", "1"], ["Fl"], mode="play")
    assert {"part": "P1", "bars": [1, 1], "rests": True} in value["evidence"]


def test_half_true_is_partly():
    value = ask(forces(), P, ["5", "6"], ["Vl I"], mode="play")
    assert (value["flag"], value["place"]) in (("partly", "near"),)


def test_one_family_short_is_near():
    value = ask(forces(), P, ["5"], [], mode="tutti")
    assert value["flag"] == "partly"
    assert "Timp" in value["sentence"]


def test_all_of_a_trio_are_everybody():
    trio = table({"Vl I": "C5 w | D5 | E5", "A": "E4 w | F4 | r", "Vc": "C3 w | D3 | C3"})
    assert ask(trio, P, ["1", "2"], [], mode="tutti")["flag"] == "agrees"
    assert ask(trio, P, ["1", "2"], [], mode="tutti", negated=True)["flag"] == "conflicts"
    assert ask(trio, P, ["3"], [], mode="tutti")["flag"] != "agrees"


def test_natural_brass_without_a_tone_does_not_spoil_a_tutti():
    # Horn in Eb gives Eb Bb G F D (trade-facts 3.4): nothing of a chord A - C# - E.
    made = table(
        {
            "Fl": "A5 w | Eb5", "Ob": "E5 w | Bb4", "Fg": "A3 w | Eb3", "Cor in Eb": "r | Eb4 w",
            "Vl I": "C#5 w | G5", "Vl II": "E5 w | G4", "Vla": "A4 w | Bb3", "Vc": "A3 w | Eb3",
        }
    )  # fmt: skip
    value = ask(made, P, ["1", "2"], [], mode="tutti")
    assert value["flag"] == "agrees"
    assert "Cor in Eb" in value["note"]


def test_pickup_counted_as_bar_one():
    value = ask(forces(), P, ["2", "3"], ["strings"], mode="only")
    assert (value["flag"], value["cause"]) == ("partly", "pickup")


def test_silence_to_the_beat():
    half = {"from": {"bar": "9", "beat": 3}, "to": {"bar": "9", "beat": 4}}
    assert ask(forces(), P, half, [], mode="silence")["flag"] == "agrees"
    assert ask(forces(), P, ["9"], [], mode="silence")["flag"] != "agrees"


def test_unique_or_not():
    assert ask(forces(), P, ["6"], ["winds"], mode="only", unique=True)["flag"] == "agrees"
    value = ask(forces(), P, ["1", "2"], ["strings"], mode="only", unique=True)
    assert (value["flag"], value["degree"]) == ("partly", "near")
    assert value["truth"]["claim"]["unique"] is False


def test_only_silent_bar_beside_a_shorter_pause():
    # A pause of half a bar is no second silent bar. Common practice, no source.
    line = "C5 w | r | C5 h r | C5 w"
    made = table({"Fl": line, "Vl I": line})
    value = ask(made, P, ["2"], [], mode="silence", unique=True)
    assert value["flag"] == "agrees"
    assert "bar 3" in value["note"]
    half = {"from": {"bar": "3", "beat": 3}, "to": {"bar": "3", "beat": 4}}
    value = ask(made, P, half, [], mode="silence", unique=True)
    assert (value["flag"], value["degree"]) == ("partly", "near")


def pause():
    """A pause from bar 2, beat 4, to the end of bar 3, six bars in all. Own."""
    line = "C5 w | C5 h. r q | r | C5 w | C5 w | C5 w"
    return table({name: line for name in ("Fl", "Ob", "Cl", "Fg", "Vl I", "Vl II")})


def test_the_bars_of_a_pause_agree_and_its_beats_are_told():
    value = ask(pause(), P, ["2", "3"], [], mode="silence")
    assert value["flag"] == "agrees"
    assert "bar 2, beat 4 to bar 3, beat 4" in value["note"]
    assert "Fl" not in value["sentence"]
    assert ask(pause(), P, ["3"], [], mode="silence")["note"] == "It starts earlier, in bar 2."


def test_a_bar_whose_end_only_is_silent_is_near():
    value = ask(pause(), P, ["2"], [], mode="silence")
    assert (value["flag"], value["place"]) == ("partly", "near")


def test_bars_beyond_a_pause():
    value = ask(pause(), P, ["3", "4"], [], mode="silence")  # one of two
    assert (value["flag"], value["place"]) == ("partly", "near")
    assert "bar 2, beat 4 to bar 3, beat 4" in value["sentence"]
    assert "6 parts" in value["sentence"]
    assert value["truth"]["claim"]["bars"] == ["2", "3"]
    assert ask(pause(), P, ["4", "6"], [], mode="silence")["flag"] == "conflicts"
    assert ask(pause(), P, ["2", "6"], [], mode="silence")["flag"] == "conflicts"  # one of five


def test_beats_are_taken_at_their_word():
    all_of_it = {"from": {"bar": "2", "beat": 3}, "to": {"bar": "3", "beat": 4}}
    assert ask(pause(), P, all_of_it, [], mode="silence")["flag"] == "partly"
    exactly = {"from": {"bar": "2", "beat": 4}, "to": {"bar": "3", "beat": 2}}
    assert ask(pause(), P, exactly, [], mode="silence")["flag"] == "agrees"


def test_a_pause_denied():
    assert ask(pause(), P, ["2", "3"], [], mode="silence", negated=True)["flag"] == "conflicts"
    assert ask(pause(), P, ["4", "5"], [], mode="silence", negated=True)["flag"] == "agrees"


def test_two_silent_bars_apart():
    made = table({"Fl": "C5 w | r | C5 | r | C5", "Vl I": "C5 w | r | C5 | r | C5"})
    value = ask(made, P, ["2"], [], mode="silence", unique=True)
    assert (value["flag"], value["degree"]) == ("partly", "near")
    assert "bar 4" in value["sentence"]


def test_winds_with_or_without_the_brass():
    made = table({"Fl": "C5 w", "Ob": "E5 w", "Cor in C": "r", "Vl I": "C5 w"})
    value = ask(made, P, ["1"], ["winds"], mode="play")
    assert (value["flag"], value["cause"]) == ("agrees", "synonym")


def test_players_of_one_staff():
    # trade-facts 7.2: "1." = only the first player, the second rests.
    assert ask(shared(), P, ["3", "4"], ["Fl 2"], mode="rest")["flag"] == "agrees"
    assert ask(shared(), P, ["3", "4"], [{"part": "P1", "player": 1}], mode="play")["flag"] == (
        "agrees"
    )
    both = ask(shared(), P, ["3", "4"], [{"part": "P1", "player": "all"}], mode="play")
    assert both["flag"] == "conflicts"
    assert ask(shared(), P, ["3", "4"], ["P1"], mode="play")["flag"] == "agrees"


@pytest.mark.parametrize(
    ("bars", "mode", "flag"),
    [(["1", "2"], "play", "agrees"), (["1", "4"], "play", "conflicts"),
     (["1", "2"], "rest", "conflicts")],
)  # fmt: skip
def test_denied(bars, mode, flag):
    value = ask(forces(), P, bars, ["Ob"], mode=mode, negated=True)
    assert value["flag"] == flag
    if flag == "conflicts":
        assert value["truth"]["claim"]["negated"] is False


@pytest.mark.parametrize("mode", ["only", "tutti", "silence"])
def test_denied_of_everybody(mode):
    parts = ["strings"] if mode == "only" else []
    so = {"only": ["1", "2"], "tutti": ["3", "4"], "silence": ["7"]}[mode]
    not_so = {"only": ["3", "4"], "tutti": ["1"], "silence": ["4"]}[mode]
    assert ask(forces(), P, so, parts, mode=mode, negated=True)["flag"] == "conflicts"
    assert ask(forces(), P, not_so, parts, mode=mode, negated=True)["flag"] == "agrees"


def test_the_tutor_says_it_plays():
    added = claims.Overruling("playing", 1, 2, (0,), "added", {"mode": "play"}, None, "col basso")
    value = ask(forces(), P, ["1", "2"], ["Fl"], mode="play", overrules=[added])
    assert value["flag"] == "agrees"
    assert "tutor" in value["note"]
    assert ask(forces(), P, ["1", "2"], ["Fl"], mode="rest", overrules=[added])["flag"] != "agrees"


def test_a_declared_edition_agrees_and_an_undeclared_one_is_asked_for():
    edition = claims.Edition(20)
    made = forces()
    far = table({"Fl": "r | r | C5 w | r | r | r | r", "Ob": "C5 w | r | r | r | C5 w | r | C5 w"})
    value = ask(far, P, ["5"], ["Fl"], mode="play", edition=claims.Edition(2))
    assert (value["flag"], value["cause"]) == ("agrees", "edition")
    assert ask(made, P, ["1"], ["Vl I"], mode="play", edition=edition)["flag"] == "agrees"
    paper = [
        {"id": n, "kind": P, "paper": "p", "bars": [bar], "parts": [part], "mode": mode}
        for n, (bar, part, mode) in enumerate(
            [("5", "Fl", "play"), ("7", "Ob", "play"), ("3", "Ob", "play"), ("7", "Fl", "rest")]
        )
    ]
    found = claims.answers(paper[:3], far, [])
    assert {a.cause for a in found} != {"edition"}  # the second is right as written
    paper[1]["bars"] = ["6"]
    found = claims.answers([paper[0], paper[2], {**paper[0], "id": 9}], far, [])
    assert {(a.flag, a.cause) for a in found} == {("ear", "edition")}
