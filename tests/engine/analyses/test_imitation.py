"""Imitation on hand-made tables.

Sources: trade facts 9 (in another part = imitation), job 6, example 23 (entries a bar apart,
each a fifth lower, tonal answer allowed, overlapping). Numbers: common practice, no source.
"""

import pytest

from analysis.engine.analyses import imitation, imitation_facts
from analysis.engine.claims.schema import read_claim
from analysis.engine.export import claim_json
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table
from .changes import reordered, ties_split, with_a_silent_part

S = Settings()
SUBJECT = "G5 q. A5 e B5 q C6 | D6 q B5 G5 h | E5 q F5 G5 A5 | B5 w"
FIFTH_LOWER = "C5 q. D5 e E5 q F5 | G5 q E5 C5 h | A4 q B4 C5 D5 | E5 w"
TWO_LOWER = "F4 q. G4 e A4 q Bb4 | C5 q A4 F4 h | D4 q E4 F4 G4 | A4 w"
ROUND = {
    "Vl I": f"{SUBJECT} | r | r",
    "Vl II": f"r | {FIFTH_LOWER} | r",
    "Vla": f"r | r | {TWO_LOWER}",
}


def facts(lines, **more):
    t = table(lines, **more)
    return [
        ([(t.lines[e.lines[0]].name, e.onset) for e in one.entries], one.intervals)
        for one in imitation_facts.imitations(t)
    ]


def test_three_parts_a_bar_apart_each_a_fifth_lower():
    t = table(ROUND)
    (found,) = imitation.find_imitations(t, S)
    assert found.value == {
        "kind": "imitation",
        "parts": [],
        "entries": [
            {"part": "P1", "at": {"bar": "1", "beat": 1}},
            {"part": "P2", "at": {"bar": "2", "beat": 1}},
            {"part": "P3", "at": {"bar": "3", "beat": 1}},
        ],
        "interval": -7,
    }
    assert (found.first, found.last, found.lines) == (0, 2, (0, 1, 2))
    assert [e.ids[0] for e in found.evidence] == ["n0-0-0", "n1-1-0", "n2-2-0"]
    assert render(found.sentence) == (
        "b. 1 – b. 3, beat 1: imitation: Vl I begins, Vl II follows one bar later, a fifth lower "
        "and Vla one bar later, a fifth lower; 12 notes are alike (tonal)."
    )
    claim = read_claim(claim_json(t, found))
    assert (claim.kind, claim["interval"]) == ("imitation", -7)


def test_a_subject_that_begins_like_a_scale_and_a_last_entry_that_breaks_off():
    """Job 6, example 23: what the first two entries share is the subject."""
    entries = {
        "Vl I": "B5 q. A5 e G5 F5 E5 q | C6 q. A5 e E5 q G5 | A5 w | r",
        "Vl II": "r | E5 q. D5 e C5 B4 A4 q | F5 q. D5 e A4 q C5 | D5 w",
        "Vla": "r | r | A4 q. G4 e F4 E4 D4 q | Bb4 q. G4 e D4 q F4",
        "Vc": "r | r | r | D4 q. C4 e Bb3 A3 G3 q",
    }
    ((found, intervals),) = facts(entries)
    assert [name for name, _ in found] == list(entries)
    assert intervals == (-7, -7, -7)
    scale = {
        "Vl I": "B5 q. A5 e G5 F5 E5 q | r | r | r",
        "Vl II": "r | E5 q. D5 e C5 B4 A4 q | r | r",
        "Vla": "r | r | A4 q. G4 e F4 E4 D4 q | r",
        "Vc": entries["Vc"],
    }
    assert not facts(scale)


def test_a_tonal_answer_is_one():
    # the leap of a fourth G-D answered by a fifth: one move bent
    subject = "G4 q D5 E5 q. D5 e | C5 q B4 A4 h | B4 q C5 D5 E5 | D5 w"
    answer = "D4 q G4 A4 q. G4 e | F#4 q E4 D4 h | E4 q F#4 G4 A4 | G4 w"
    assert facts({"Vl I": f"{subject} | r", "Vla": f"r | {answer}"}) == [
        ([("Vl I", 0), ("Vla", 40320)], (-7,))
    ]


def test_thirds_that_enter_together_are_one_entry():
    under = "E5 q. F5 e G5 q A5 | B5 q G5 E5 h | C5 q D5 E5 F5 | G5 w"
    lines = {"Fl": f"{SUBJECT} | r", "Ob": f"{under} | r", "Cl": f"r | {FIFTH_LOWER}"}
    (found,) = imitation_facts.imitations(table(lines))
    assert [e.lines for e in found.entries] == [(0, 1), (2,)]


@pytest.mark.parametrize(
    "lines",
    [
        # together: a doubling
        {"Vl I": SUBJECT, "Vla": FIFTH_LOWER},
        # a scale
        {"Vl I": "C5 q D5 E5 F5 | G5 A5 B5 C6 | D6 w", "Vla": "r | C4 q D4 E4 F4 | G4 A4 B4 C5"},
        # repeated notes
        {"Vl I": "C5 q C5 C5 C5 | C5 C5 C5 C5 | C5 w", "Vla": "r | G4 q G4 G4 G4 | G4 G4 G4 G4"},
        # an ostinato that another part joins later
        {
            "Vl I": " | ".join(["G5 q. A5 e B5 q D5"] * 5),
            "Vla": "r | r | " + " | ".join(["C4 q. D4 e E4 q G3"] * 3),
        },
        # an answer: the first has ended
        {"Vl I": "G5 q. A5 e B5 q C6 | D6 h r", "Vla": "r | r h C5 q. D5 e | E5 q F5 G5 h"},
        # other rhythm; turned round; many bars later
        {"Vl I": f"{SUBJECT} | r", "Vla": "r | C5 q D5 E5 F5 | G5 q. E5 e C5 h | A4 w"},
        {"Vl I": f"{SUBJECT} | r", "Vla": "r | C6 q. B5 e A5 q G5 | F5 q A5 C6 h | E6 q D6 C6 B5"},
        {"Vl I": SUBJECT + " | G5 w" * 10, "Vla": "r | " * 10 + FIFTH_LOWER},
    ],
)
def test_what_is_no_imitation(lines):
    assert facts(lines) == []


def test_no_entries_across_movements():
    assert facts({"Vl I": f"{SUBJECT} || r | r", "Vla": f"r | r | r | r || {FIFTH_LOWER}"}) == []


@pytest.mark.parametrize("change", [with_a_silent_part, ties_split, reordered])
def test_what_leaves_the_music_the_same(change):
    assert facts(change(ROUND)) == facts(ROUND) != []


@pytest.mark.parametrize("text", ["r", "x w", "C5 w", "(C5) r"])
def test_hardly_anything(text):
    assert facts({"Fl": text, "Ob": text}) == []
