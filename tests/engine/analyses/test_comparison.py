"""Returns of a passage on hand-made tables.

Sources: contract 3 (comparison: bars2, added, left, told completely), trade facts 9 (the same
level = repetition; elsewhere = the passage at another level). Numbers: common practice, no source.
"""

import pytest

from analysis.engine.analyses import comparison, returns
from analysis.engine.claims.schema import read_claim
from analysis.engine.export import claim_json
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table
from .changes import reordered, ties_split, transposed, with_a_silent_part

S = Settings()
THEME = "G4 q B4 D5 G5 | F#5 q. E5 e D5 h | E5 q C5 A4 B4 | C5 q. B4 e A4 h"
FOURTH_UP = "C5 q E5 G5 C6 | B5 q. A5 e G5 h | A5 q F5 D5 E5 | F5 q. E5 e D5 h"
OTHER = "A4 q A4 E5 e D5 C5 q | B4 h G4 q E4 | F4 e G4 A4 B4 C5 h | D5 q C5 B4 h"
CHORD = "G3+B3 w | A3+D4 w | A3+C4 w | D3+F#3 w"
REST = "r | r | r | r"
LINES = {
    "Fl": f"{REST} | {REST} | {THEME}",
    "Vl I": f"{THEME} | {OTHER} | {REST}",
    "Vla": f"{REST} | {CHORD} | {CHORD}",
    "Vc": f"{CHORD} | {CHORD} | {REST}",
}


def facts(lines, **more):
    return [(r.first, r.last, r.later, r.shift) for r in returns.returns(table(lines, **more), S)]


def test_a_theme_comes_again_in_another_part():
    t = table(LINES)
    (found,) = comparison.find_comparisons(t, S)
    assert found.value == {
        "kind": "comparison",
        "parts": [],
        "bars2": ["9", "12"],
        "added": ["P1", "P3"],
        "left": ["P2", "P4"],
    }
    assert (found.first, found.last) == (0, 3)
    assert [e.ids[0] for e in found.evidence] == ["n1-0-0", "n0-8-0"]
    assert render(found.sentence) == (
        "b. 1–4 come again in b. 9–12; what Vl I had is now with Fl; added: Fl and Vla; left out: "
        "Vl I and Vc."
    )
    assert read_claim(claim_json(t, found)).kind == "comparison"


def test_at_another_level_with_the_same_parts():
    (found,) = comparison.find_comparisons(table({"Vl I": f"{THEME} | {OTHER} | {FOURTH_UP}"}), S)
    assert (found.value["added"], found.value["left"]) == ([], [])
    assert render(found.sentence) == (
        "b. 1–4 come again in b. 9–12, with the same parts, a fourth higher."
    )


def test_each_return_is_told_once_against_the_first_place():
    text = f"{THEME} | {OTHER} | {THEME} | {REST} | {THEME}"
    assert facts({"Vl I": text}) == [(0, 3, 8, 0), (0, 3, 16, 0)]


def test_how_many_bars_is_the_tutors_to_say():
    t = table(LINES)
    assert comparison.find_comparisons(t, Settings(return_bars=5)) == []


def test_a_line_of_a_note_or_two_is_not_added():
    # sounds in one bar of four: less than half
    t = table({**LINES, "Timp": f"{REST} | {REST} | G2 w | r | r | r"})
    assert comparison.find_comparisons(t, S)[0].value["added"] == ["P1", "P3"]


@pytest.mark.parametrize(
    "text",
    [
        f"{THEME} | {OTHER}",
        # an ostinato: the same bar again and again
        " | ".join(["G4 q. A4 e B4 q D5"] * 24),
        # two bars in turn
        " | ".join(["G4 q. A4 e B4 q D5 | E5 q C5 A4 h"] * 8),
        # three bars of four go another way
        f"{THEME} | {OTHER} | " + THEME.split(" | ")[0] + " | " + OTHER.split(" | ", 1)[1],
        # held notes tell nothing
        "G4 w | A4 w | B4 w | C5 w | D5 w | r | G4 w | A4 w | B4 w | C5 w | D5 w",
    ],
)
def test_what_is_no_return(text):
    assert facts({"Vl I": text}) == []


def test_no_return_in_another_movement():
    assert facts({"Vl I": f"{THEME} || {OTHER} | {THEME}"}) == []


@pytest.mark.parametrize(
    "change", [with_a_silent_part, ties_split, reordered, lambda x: transposed(x, 12)]
)
def test_what_leaves_the_music_the_same(change):
    assert facts(change(LINES)) == facts(LINES) != []


@pytest.mark.parametrize("text", ["r", "x w", "C5 w", "(C5) r"])
def test_hardly_anything(text):
    assert facts({"Fl": text, "Ob": text}) == []
