"""The course of a part and of a pair on hand-made tables.

Sources: contract 3 (course: steps with bars, with, octaves), job 14 (with whom a part goes, change
of partner, split and rejoin of a pair); how long a step lasts: common practice, no source.
"""

import pytest

from analysis.engine.analyses import course, course_facts, course_pairs
from analysis.engine.claims.schema import read_claim
from analysis.engine.export import claim_json
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table
from .changes import reordered, ties_split, transposed, with_a_silent_part

S = Settings()
UP = ("G5 q A5 B5 C6", "D6 q C6 B5 A5", "G5 q F#5 E5 D5", "E5 q G5 F#5 D5")
LOW = ("G2 h B2", "C3 h D3", "E3 q D3 C3 B2", "A2 h D3")
REST = ("r",) * 4


def bars(*groups):
    return " | ".join(bar for group in groups for bar in group)


def down(group, octaves=1):
    return ["".join(str(int(c) - octaves) if c.isdigit() else c for c in bar) for bar in group]


#: the bassoon plays four bars with the cello, then four with the violin
BOTH = {
    "Fg": bars(LOW, down(UP, 2)),
    "Vl I": bars(UP, UP),
    "Vc": bars(LOW, ("A2 w", "G2 w", "F2 w", "D2 w")),
}


def test_a_bassoon_leaves_the_bass_for_the_tune():
    t = table(BOTH)
    (found,) = course.find_courses(t, S)
    assert found.value == {
        "kind": "course",
        "parts": ["P1"],
        "steps": [
            {"bars": ["1", "4"], "with": ["P3"], "octaves": 0},
            {"bars": ["5", "8"], "with": ["P2"], "octaves": -2},
        ],
    }
    assert render(found.sentence) == (
        "b. 1–8: Fg changes partner: with Vc in unison (b. 1–4), "
        "then with Vl I two octaves lower (b. 5–8)."
    )
    assert (found.lines, found.confidence) == ((0, 2, 1), 1.0)
    assert read_claim(claim_json(t, found)).kind == "course"
    assert all(e.ids for e in found.evidence)


def test_one_partner_throughout_is_no_course():
    assert course.find_courses(table({**BOTH, "Fg": bars(LOW, REST)}), S) == []
    assert course.find_courses(table({"Fg": bars(LOW, LOW), "Vc": bars(LOW, LOW)}), S) == []


def test_a_partner_of_two_bars_is_passing():
    short = {
        "Fg": bars(LOW, down(UP[:2], 2), LOW),
        "Vl I": bars(UP, UP[:2], UP),
        "Vc": bars(LOW, ("A2 w", "F2 w"), LOW),
    }
    assert course.find_courses(table(short), S) == []


def test_the_tutor_says_how_long_a_partner_stays():
    assert course.find_courses(table(BOTH), Settings(course_bars=5)) == []
    assert len(course.find_courses(table(BOTH), Settings(course_bars=4))) == 1


def test_a_bar_alone_does_not_end_a_step():
    t = table({"Fg": bars(LOW, ["C4 w"], LOW), "Vc": bars(LOW, ["F2 q A2 B2 D3"], LOW)})
    assert [(s.first, s.last, s.company) for s in course_facts.steps(t, 0, 0, 8, S)] == [
        (0, 8, ((1, 0),))
    ]


def test_a_time_alone_lies_between_two_partners():
    alone = ("B3 w", "C4 h A3", "F3 h E3", "D3 w")
    lines = {
        "Fg": bars(LOW, alone, down(UP, 2)),
        "Vl I": bars(UP, down(UP, 0), UP),
        "Vc": bars(
            LOW, ("G2 w", "A2 q B2 C3 D3", "E3 w", "D2 w"), ("A2 w", "G2 w", "F2 w", "D2 w")
        ),
    }
    (found,) = course.find_courses(table(lines), S)
    assert [s["with"] for s in found.value["steps"]] == [["P3"], [], ["P2"]]


def test_repeated_chord_notes_are_no_change_of_partner():
    # the trumpet has one note with either: that fills up a chord
    lines = {
        "Tr": bars(("G4 q G4 G4 G4",) * 8),
        "Vl I": bars(("G5 q G5 G5 G5",) * 4, UP),
        "Vla": bars(("E4 q D4 E4 F4",) * 4, ("G4 q G4 G4 G4",) * 4),
    }
    assert course.find_courses(table(lines), S) == []


def test_a_rest_of_two_bars_ends_a_course():
    lines = {**BOTH, "Fg": bars(LOW, ("r", "r"), down(UP[2:], 2))}
    assert course.find_courses(table(lines), S) == []


def test_clarinets_split_and_join_again():
    third = ("E5 q F#5 G5 A5", "B5 q A5 G5 F#5", "E5 q D5 C5 B4", "C5 q E5 D5 B4")
    t = table({"Cl 1": bars(UP, UP, UP), "Cl 2": bars(UP, third, UP)})
    (found,) = course_pairs.find_pairs(t, S)
    assert render(found.sentence) == (
        "b. 1–12: Cl 1 and Cl 2 split and join again: in unison (b. 1–4), then in thirds "
        "(b. 5–8), then in unison (b. 9–12)."
    )
    assert found.value["parts"] == [{"part": "P1", "player": 1}]
    assert [s["with"] for s in found.value["steps"]] == [
        [{"part": "P1", "player": 2}], [], [{"part": "P1", "player": 2}],
    ]  # fmt: skip
    assert read_claim(claim_json(t, found)).kind == "course"


@pytest.mark.parametrize(
    ("second", "template"),
    [
        (bars(UP, down(UP)), None),  # unison, then octaves: together all along
        (bars(REST, UP), None),  # the second enters: it does not split
        (bars(UP, REST), None),
        (bars(UP, LOW), "course.split"),
        (bars(LOW, UP), "course.rejoin"),
    ],
)
def test_what_makes_a_split(second, template):
    found = course_pairs.find_pairs(table({"Cl 1": bars(UP, UP), "Cl 2": second}), S)
    assert [f.sentence.template for f in found] == ([template] if template else [])


def test_who_goes_with_whom_while_they_are_apart():
    lines = {
        "Cl 1": bars(UP, UP),
        "Cl 2": bars(UP, LOW),
        "Vc": bars(("G2 w",) * 4, LOW),
        "Fl": bars(REST, UP),
    }
    (found,) = course_pairs.find_pairs(table(lines), S)
    assert "apart: Cl 1 with Fl in unison, Cl 2 with Vc in unison (b. 5–8)" in render(
        found.sentence
    )


def test_pairs_are_players_of_one_kind():
    t = table({"Fl": "r", "Ob 1": "r", "Ob 2": "r", "Vl I": "r", "Vl II": "r", "Vla": "r"})
    assert course_pairs.pairs(t) == [(1, 2), (3, 4)]


def said(lines):
    t = table(lines)
    found = course.find_courses(t, S) + course_pairs.find_pairs(t, S)
    return sorted(render(f.sentence) for f in found)


CLARINETS = {"Cl 1": bars(UP, UP), "Cl 2": bars(UP, LOW), "Fg": bars(REST, LOW)}


@pytest.mark.parametrize("lines", [BOTH, CLARINETS])
@pytest.mark.parametrize(
    "change", [reordered, with_a_silent_part, ties_split, lambda x: transposed(x, 3)]
)
def test_what_leaves_the_music_the_same_leaves_the_courses(lines, change):
    if change is reordered and "Cl 1" in lines:
        lines = {k: v for k, v in lines.items() if k != "Fg"}
        changed = {"Fg": CLARINETS["Fg"], **lines}
        assert said(changed) == said(CLARINETS)
    else:
        assert said(change(lines)) == said(lines) != []
