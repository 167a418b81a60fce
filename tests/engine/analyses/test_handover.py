"""Handovers on hand-made tables.

Sources: trade facts 6.2 (a line passes on; gap or overlap of a beat, or of a bar), job 6,
example 12 (a line handed on in bar 11, beat 3, both on one note for a beat).
"""

import pytest

from analysis.engine.analyses import handover, handover_facts
from analysis.engine.claims.schema import read_claim
from analysis.engine.export import claim_json
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table
from .changes import reordered, ties_split, transposed, with_a_silent_part

S = Settings()
#: a phrase of one bar and a half, and the rest
CALL = "G5 q. A5 e B5 q C6 | D6 h r | r | r"
ANSWER = "r | r h D5 q. E5 e | F5 q G5 A5 h | r"
CHORDS = "G3+B3 w | G3+B3 w | A3+C4 w | G3+B3 w"


def facts(lines, **more):
    t = table(lines, **more)
    return [
        (t.lines[h.giving[0]].name, t.lines[h.taking[0]].name, h.at, h.gap)
        for h in handover_facts.handovers(t, S)
    ]


def test_an_answer_with_the_same_figure_at_another_pitch():
    t = table({"Ob": CALL, "Cl": ANSWER, "Vc": CHORDS})
    (found,) = handover.find_handovers(t, S)
    assert found.value == {
        "kind": "handover",
        "parts": [],
        "from": "P1",
        "to": "P2",
        "at": {"bar": "2", "beat": 3},
    }
    assert (found.first, found.last, found.lines) == (1, 1, (0, 1))
    assert [e.ids[0] for e in found.evidence] == ["n0-0-0", "n1-1-1"]
    assert 0.5 <= found.confidence < 1
    assert render(found.sentence) == (
        "b. 2, beat 3: Cl answers the end of Ob with the same figure (5 notes alike)."
    )
    assert read_claim(claim_json(t, found)).kind == "handover"


@pytest.mark.parametrize(
    "answer",
    [
        "r | r h D5 q E5 | F5 q G5 A5 h | r",  # other rhythm
        "r | r h D5 q. C5 e | B4 q A4 G4 h | r",  # turned round
        "r | r h D5 q. D5 e | D5 q D5 D5 h | r",  # one note
        "r | r | r | D5 q. E5 e F5 q G5",  # more than a bar later
        "D5 q. E5 e F5 q G5 | A5 h r | r | r",  # together, not after
    ],
)
def test_what_is_no_answer(answer):
    found = handover_facts.handovers(table({"Ob": CALL, "Cl": answer, "Vc": CHORDS}), S)
    assert [h for h in found if h.alike] == []  # the tune may still go on there


def test_the_tutor_says_how_far_apart_they_may_be():
    late = {"Ob": CALL, "Cl": "r | r | r h D5 q. E5 e | F5 q G5 A5 h", "Vc": CHORDS}
    assert len(handover_facts.handovers(table(late), S)) == 1  # a bar later
    assert handover_facts.handovers(table(late), Settings(handover_bars=0.5)) == ()


def test_four_even_notes_are_too_few():
    # a scale of four crotchets is alike by chance; five are not (a tune may pass on all the same)
    four = {"Ob": "G5 q A5 B5 C6 | r", "Cl": "r | D5 q E5 F#5 G5"}
    five = {"Ob": "G5 q A5 B5 C6 | D6 r r r", "Cl": "r | r q D5 E5 F#5 | G5 q A5 r r"}
    assert [h for h in handover_facts.handovers(table(four), S) if h.alike] == []
    assert [h.alike for h in handover_facts.handovers(table(five), S)] == [5]
    assert facts(five) == [("Ob", "Cl", 5 * 10080, 0)]


def test_parts_that_go_together_are_told_together():
    lines = {"Fl": CALL, "Ob": CALL.replace("5", "4").replace("6", "5"), "Cl": ANSWER, "Fg": ANSWER}
    t = table(lines)
    (found,) = handover.find_handovers(t, S)
    assert set(found.lines) == {0, 1, 2, 3}
    said = render(found.sentence)
    assert said.startswith("b. 2, beat 3: Cl (with Fg) answers the end of Fl (with Ob)")


def test_choirs_answer_each_other_as_one():
    under = "E5 q. F5 e G5 q A5 | B5 h r | r | r"
    answer = "r | r h B4 q. C5 e | D5 q E5 F5 h | r"
    t = table({"Fl": CALL, "Ob": under, "Vl I": ANSWER, "Vl II": answer})
    (found,) = handover.find_handovers(t, S)
    assert (found.value["from"], found.value["to"], len(found.lines)) == ("P1", "P3", 4)


def test_who_goes_on_hands_nothing_on():
    # the flute has the call and the answer: the oboe only leaves
    both = "G5 q. A5 e B5 q C6 | D6 h D5 q. E5 e | F5 q G5 A5 h | r"
    assert facts({"Ob": CALL, "Fl": both, "Cl": ANSWER}) == []


TUNE_A = "G5 q. A5 e B5 q G5 | A5 q. B5 e C6 q A5 | B5 q D6 C6 A5 | G5 q B5 A5 F#5"
TUNE_B = "E5 q G5 e F#5 E5 q D5 | C5 q E5 e D5 C5 q B4 | A4 q C5 e B4 A4 q G4 | F#4 q A4 G4 h"
REST = "r | r | r | r"
BASS = "G2 h D3 | A2 h D3 | G2 h D3 | G2 w"
HELD = "B3+D4 w | C4+E4 w | B3+D4 w | B3+D4 w"
TUNES = {
    "Ob": f"{TUNE_A} | G5 q r h | {REST[4:]}",
    "Cl": f"{REST} | {TUNE_B}",
    "Vla": f"{HELD} | {HELD}",
    "Vc": f"{BASS} | {BASS}",
}


def test_the_tune_goes_on_in_another_part():
    # job 6, example 12: both have it for a beat
    (found,) = handover.find_handovers(table(TUNES), S)
    assert (found.value["from"], found.value["to"]) == ("P1", "P2")
    assert found.value["at"] == {"bar": "5", "beat": 1}
    assert found.sentence.template == "handover.overlap"
    assert found.confidence >= 0.5


def test_a_tune_that_stays_is_handed_to_nobody():
    lines = {**TUNES, "Ob": f"{TUNE_A} | {TUNE_A}", "Cl": REST + " | " + REST}
    assert facts(lines) == []


def test_a_part_that_joins_the_tune_takes_nothing_over():
    whole = f"{TUNE_A} | {TUNE_B}"
    assert facts({**TUNES, "Ob": whole, "Cl": f"{REST} | {TUNE_B}"}) == []


@pytest.mark.parametrize("lines", [TUNES, {"Ob": CALL, "Cl": ANSWER, "Vc": CHORDS}])
@pytest.mark.parametrize(
    "change",
    [reordered, with_a_silent_part, ties_split, lambda x: transposed(x, 3)],
)
def test_what_leaves_the_music_the_same_leaves_the_handovers(lines, change):
    assert facts(change(lines)) == facts(lines) != []


@pytest.mark.parametrize("text", ["r", "x w", "C5 w", "(C5) r"])
def test_hardly_anything(text):
    assert facts({"Fl": text}) == []
