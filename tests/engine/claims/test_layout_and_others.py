"""Layout (trade-facts 2, 7.2, 7.3), reinforcement (5.1), free words, kinds to come."""

from __future__ import annotations

from dataclasses import replace

import pytest

from analysis.engine import claims, export
from analysis.engine.analyses import analyse
from analysis.engine.model import Doubt, Mark

from ..tables import table
from .asking import ask, ids
from .pieces import doublings, shared

L = "layout"


def horns():
    return table(
        {
            "Cl": "C5 w", "Cor in Eb 1": "Eb4 w", "Cor in Eb 2": "Bb3 w", "Cor in F": "C4 w",
            "Tr in F": "C5 w", "Vl I": "C5 w", "Cb": "C2 w",
        }
    )  # fmt: skip


@pytest.mark.parametrize(
    ("part", "fields", "flag"),
    [
        # trade-facts 2.1-2.3: semitones from written to sounding
        ("Cor in Eb", {"instrument": "horn", "transposition": -9}, "agrees"),
        ("Cl", {"instrument": "Klarinette", "transposition": -2}, "agrees"),
        ("Tr in F", {"instrument": "tromba", "transposition": 5}, "agrees"),
        ("Cb", {"transposition": -12}, "agrees"),
        ("Vl I", {"transposition": 0}, "agrees"),
        ("Cl", {"transposition": -3}, "conflicts"),
        ("Vl I", {"instrument": "viola"}, "conflicts"),
        ("Cor in Eb", {"players": 2}, "agrees"),
        ("Cor in Eb", {"players": 1}, "conflicts"),
        ("Vl I", {"players": 2}, "ear"),
    ],
)
def test_the_page(part, fields, flag):
    assert ask(horns(), L, None, [part], **fields)["flag"] == flag


def test_up_for_down():
    # trade-facts 2.3: trumpet in F goes UP a fourth, horn in F DOWN a fifth.
    value = ask(horns(), L, None, ["Tr in F"], transposition=-7)
    assert (value["flag"], value["cause"]) == ("conflicts", "reversed")
    value = ask(horns(), L, None, ["Cor in F"], transposition=5)
    assert (value["flag"], value["cause"]) == ("conflicts", "reversed")


def test_the_octave_of_a_crook_is_near():
    low = table({"Cor in C basso": "C4 w"})
    value = ask(low, L, None, ["Cor in C basso"], transposition=0)
    assert (value["flag"], value["degree"]) == ("partly", "near")
    assert value["truth"]["claim"]["transposition"] == -12


def test_a_shared_staff():
    value = ask(shared(), L, None, ["Fl 1"], shares_staff_with=["Fl 2"])
    assert value["flag"] == "agrees"
    assert ask(shared(), L, None, ["Fl 1"], shares_staff_with=["Vla"])["flag"] == "conflicts"


def test_absent_is_complete():
    assert ask(horns(), L, None, absent=["oboe", "Pauken"])["flag"] == "agrees"
    value = ask(horns(), L, None, absent=["oboe", "horn"])
    assert value["flag"] == "conflicts"
    assert value["evidence"]
    assert value["truth"]["claim"]["absent"] == ["oboe"]


def test_clefs():
    marks = (
        Mark("clef", 0, 1, 0, 0, 0, "C3"),
        Mark("clef", 1, 1, 0, 0, 0, "F4"),
        Mark("clef", 1, 1, 1, 4 * 10080, 4 * 10080, "C4"),
    )
    made = replace(table({"Vla": "C4 w | D4", "Vc": "C3 w | A4"}), marks=marks)
    assert ask(made, L, ["1", "2"], ["Vla"], clef="alto")["flag"] == "agrees"
    assert ask(made, L, ["1", "2"], ["Vla"], clef="treble")["flag"] == "conflicts"
    assert ask(made, L, ["1", "2"], ["Vc"], clef="bass clef")["flag"] == "agrees"
    assert ask(made, L, ["1", "2"], ["Vc"], clef="tenor")["flag"] == "partly"
    assert ask(made, L, ["1", "2"], ["Vc"], clef="upside down")["cause"] == "not-understood"


def test_denied_layout():
    assert ask(horns(), L, None, ["Cl"], transposition=-3, negated=True)["flag"] == "agrees"
    assert ask(horns(), L, None, ["Cl"], transposition=-2, negated=True)["flag"] == "conflicts"
    assert ask(horns(), L, None, ["Vl I"], transposition=-12, negated=True)["flag"] == "agrees"


def test_nothing_said_of_the_layout():
    assert ask(horns(), L, None, ["Cl"])["cause"] == "not-understood"


# --- reinforcement ------------------------------------------------------------


def accents():
    """Ob has the first note of each bar of the tune; Cl attacks there on other notes; Fg all."""
    return table(
        {
            "Ob": "C5 q r h | G5 q r h | C5 q r h | G5 q r h",
            "Cl": "A4 q r h | A4 q r h | A4 q r h | A4 q r h",
            "Fg": "C4 q D4 E4 F4 | G4 E4 D4 C4 | C4 D4 E4 F4 | G4 E4 D4 C4",
            "Vl I": "C5 q D5 E5 F5 | G5 E5 D5 C5 | C5 D5 E5 F5 | G5 E5 D5 C5",
        }
    )


F = "reinforcement"


def test_the_first_note_of_each_bar_agrees():
    value = ask(accents(), F, ["1", "4"], ["Ob"], with_=["Vl I"], beats=[1], by="pitch")
    assert value["flag"] == "agrees"
    assert ids(value) == {f"n{p}-{b}-0" for p in (0, 3) for b in range(4)}


def test_other_beats_are_partly():
    value = ask(accents(), F, ["1", "4"], ["Ob"], with_=["Vl I"], beats=[1, 3], by="pitch")
    assert (value["flag"], value["degree"]) == ("partly", "near")


def test_by_attack_alone():
    by = {"with_": ["Vl I"], "beats": [1]}
    assert ask(accents(), F, ["1", "4"], ["Cl"], by="accent", **by)["flag"] == "agrees"
    value = ask(accents(), F, ["1", "4"], ["Cl"], by="pitch", **by)
    assert (value["flag"], value["relation"]) == ("partly", "near")


def test_a_full_doubling_is_no_reinforcement():
    value = ask(accents(), F, ["1", "4"], ["Fg"], with_=["Vl I"], beats=[1], by="pitch")
    assert value["flag"] == "conflicts"
    assert value["truth"]["claim"]["kind"] == "doubling"


def test_a_reinforcement_called_a_full_doubling_conflicts():
    value = ask(accents(), "doubling", ["1", "4"], ["Ob"], with_=["Vl I"], octaves=0)
    assert value["flag"] == "conflicts"


def sparse():
    """Ob meets the first note of bars 1, 3, 5 and 7 of a tune and holds it for two bars."""
    held = [f"{p}~ w | {p}" for p in ("C5", "D5", "C5", "D5")]
    tune = [f"{p} q E5 F5 G5 | E5 F5 G5 A5" for p in ("C5", "D5") * 2]
    return table({"Ob": " | ".join(held), "Vl I": " | ".join(tune)})


def test_a_finding_of_reinforcement_agrees_and_tells_the_bars_without_support():
    """The run is the fact: bars between two supported notes belong to it (contract 3)."""
    made = sparse()
    found = [f for f in analyse(made) if f.kind == F]
    assert [(f.first, f.last) for f in found] == [(0, 6)]
    value = export.finding_json(made, found[0])["value"]
    assert value["beats"] == [1]
    answer = ask(made, F, value["bars"], ["Ob"], with_=["Vl I"], beats=[1], by="pitch")
    assert answer["flag"] == "agrees"
    assert answer["note"].startswith("No note is met in bar 2, bar 4 and bar 6.")
    said, count = answer["sentence"], found[0].sentence.params
    assert f"{count['met']} of {count['of']} notes" in said


def test_a_reinforcement_that_is_not_so_says_where():
    asked = {"with_": ["Vl I"], "beats": [1, 2], "by": "pitch"}
    made = table(
        {"Ob": "C5 q D5 r h | r | G5 q r h", "Vl I": "C5 q D5 E5 F5 | C5 D5 E5 F5 | G5 E5 D5 C5"}
    )
    value = ask(made, F, ["1", "3"], ["Ob"], **asked)
    assert value["flag"] != "agrees"
    assert "No note is met in bar 2." in value["sentence"]


def test_named_notes():
    notes = [f"n3-{b}-0" for b in range(4)]
    value = ask(accents(), F, ["1", "4"], ["Ob"], with_=["Vl I"], notes=notes, by="pitch")
    assert value["flag"] == "agrees"


def test_denied_reinforcement():
    asked = {"with_": ["Vl I"], "beats": [1], "by": "pitch", "negated": True}
    assert ask(accents(), F, ["1", "4"], ["Ob"], **asked)["flag"] == "conflicts"
    assert ask(accents(), F, ["1", "4"], ["Fg"], **asked)["flag"] == "agrees"


# --- always the tutor's -------------------------------------------------------


def test_free_words_are_the_tutors():
    value = ask(doublings(), "free", None, text="It sounds like dusk.")
    assert (value["flag"], value["cause"]) == ("ear", None)
    assert claims.free_answer("x").as_dict()["id"] == "x"


def test_free_words_alone_have_no_rule():
    assert {name for name, kind in claims.KINDS.items() if kind.judge is None} == {"free"}


@pytest.mark.parametrize("kind", sorted(claims.KINDS))
def test_a_field_that_no_kind_has_is_asked_about(kind):
    value = claims.answer({"id": 1, "kind": kind, "mood": "sad"}, doublings(), []).as_dict()
    assert (value["flag"], value["cause"]) == ("ear", "not-understood")
    assert "mood" in value["sentence"]


# --- parts nobody has confirmed -----------------------------------------------


def doubtful(about):
    made = doublings()
    parts = [
        replace(p, doubt=Doubt(about, "may sound an octave lower")) if p.label == "Fl" else p
        for p in made.parts
    ]
    return replace(made, parts=tuple(parts))


def test_a_doubt_about_pitch_touches_what_is_pitched():
    made = doubtful("pitch")
    value = ask(made, "doubling", ["1", "4"], ["Fl"], with_=["Vl I"])
    assert (value["flag"], value["cause"]) == ("ear", "unconfirmed-part")
    assert "octave" in value["sentence"]
    assert ask(made, "playing", ["1", "4"], ["Fl"], mode="play")["flag"] == "agrees"
    assert ask(made, "doubling", ["1", "4"], ["Fg"], with_=["Vl I"])["flag"] == "agrees"
    # "nobody" asks everybody, the doubtful one too
    assert ask(made, "doubling", ["1", "2"], ["Vla"], coverage="none")["flag"] == "ear"


def test_a_doubt_about_the_name_touches_everything():
    value = ask(doubtful("name"), "playing", ["1", "4"], ["Fl"], mode="play")
    assert value["cause"] == "unconfirmed-part"


def test_a_doubt_about_players_touches_single_players():
    made = shared()
    parts = tuple(
        replace(p, doubt=Doubt("players", "one player or two?")) if p.label == "Fl" else p
        for p in made.parts
    )
    made = replace(made, parts=parts)
    assert ask(made, "playing", ["1", "2"], ["P1"], mode="play")["flag"] == "agrees"
    value = ask(made, "playing", ["1", "2"], ["flute 2"], mode="play")
    assert value["cause"] == "unconfirmed-part"
