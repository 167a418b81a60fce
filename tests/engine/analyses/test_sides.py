"""Which family a part goes with, on hand-made tables.

Sources: contract 3 (sides-with: side, by pitch, rhythm or role), job 14 (which family a part sides
with); shares and numbers of bars: common practice, no source.
"""

import pytest

from analysis.engine.analyses import sides
from analysis.engine.claims.schema import read_claim
from analysis.engine.export import claim_json
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table
from .changes import reordered, ties_split, transposed, with_a_silent_part

S = Settings()
TUNE = ("G5 q A5 B5 C6", "D6 q C6 B5 A5", "G5 q F#5 E5 D5", "E5 q G5 F#5 D5") * 2
BASS = ("G2 h B2", "C3 q D3 E3 h", "E3 q D3 C3 B2", "A2 h. D3 q") * 2
HOLD = ("B4 w", "A4 w", "G4 w", "F#4 w") * 2


def bars(*groups):
    return " | ".join(bar for group in groups for bar in group)


def said(lines):
    t = table(lines)
    return [
        (t.lines[f.lines[0]].name, f.value["side"], f.value["by"], f.first, f.last)
        for f in sides.find_sides(t, S)
    ]


FLOOR = {"Fl": bars(TUNE), "Fg": bars(BASS), "Vl I": bars(HOLD), "Vc": bars(BASS)}


def test_a_bassoon_with_the_cellos():
    t = table(FLOOR)
    (found,) = sides.find_sides(t, S)
    assert found.value == {
        "kind": "sides-with", "parts": ["P2"], "side": "strings", "by": "pitch",
    }  # fmt: skip
    assert (found.first, found.last, found.confidence) == (0, 7, 1.0)
    assert render(found.sentence) == (
        "b. 1–8: Fg sides with the strings: it shares their notes in all 8 bars it plays."
    )
    assert read_claim(claim_json(t, found)).kind == "sides-with"


def test_it_takes_the_other_side_and_both():
    assert said({**FLOOR, "Fg": bars(TUNE)}) == [("Fg", "woodwind", "pitch", 0, 7)]
    both = {**FLOOR, "Fl": bars(BASS).replace("3", "5").replace("2", "4")}
    assert ("Fg", "strings", "pitch", 0, 7) not in said(both)


def test_by_rhythm_where_the_notes_are_others():
    third = bars(("B2 h D3", "E3 q F3 G3 h", "G3 q F3 E3 D3", "C3 h. F3 q") * 2)
    assert said({**FLOOR, "Fg": third}) == [("Fg", "strings", "rhythm", 0, 7)]


def test_seven_bars_are_too_few_and_silence_is_no_side():
    assert said({**FLOOR, "Fg": bars(BASS[:7], ["r"])}) == []
    assert said({**FLOOR, "Vc": bars(["r"] * 8), "Fl": bars(["r"] * 8)}) == []


def test_the_tutor_says_what_share_makes_a_side():
    # six of eight bars with the cello
    t = table({**FLOOR, "Fg": bars(BASS[:6], ["D3 w", "C3 w"])})
    assert [(f.value["side"], f.value["by"]) for f in sides.find_sides(t, S)] == [
        ("strings", "pitch")
    ]
    stricter = sides.find_sides(t, Settings(sides_share=0.8))
    assert all(f.value["by"] == "role" for f in stricter), "its job may go on, its notes do not"


def test_a_flute_among_flutes_is_told_of_nobody():
    lines = {"Fl": bars(TUNE), "Ob": bars(TUNE), "Vl I": bars(HOLD), "Vc": bars(BASS)}
    assert said(lines) == []


def test_players_of_one_desk_are_no_side():
    lines = {"Fg 1": bars(BASS), "Fg 2": bars(BASS), "Vl I": bars(HOLD)}
    assert [x for x in said(lines) if x[2] == "pitch"] == []


def test_violas_with_the_seconds_or_the_cellos():
    lines = {"Vl I": bars(TUNE), "Vl II": bars(HOLD), "Vla": bars(BASS), "Vc": bars(BASS)}
    assert said(lines) == [("Vla", "P4", "pitch", 0, 7)]
    assert said({**lines, "Vla": bars(HOLD)}) == [("Vla", "P2", "pitch", 0, 7)]


def test_two_sides_one_after_the_other_and_a_gap_without():
    lines = {
        "Fl": bars(TUNE, TUNE, TUNE),
        "Fg": bars(BASS, TUNE, BASS),
        "Vc": bars(BASS, HOLD, BASS),
    }
    gap = [["r", "r"]]
    apart = {k: bars(v.split(" | ")[:8], *gap, v.split(" | ")[8:16], *gap, v.split(" | ")[16:])
             for k, v in lines.items()}  # fmt: skip
    assert said(apart) == [
        ("Fg", "strings", "pitch", 0, 7),
        ("Fg", "woodwind", "pitch", 10, 17),
        ("Fg", "strings", "pitch", 20, 27),
    ]


@pytest.mark.parametrize(
    "change", [reordered, with_a_silent_part, ties_split, lambda x: transposed(x, 3)]
)
def test_what_leaves_the_music_the_same_leaves_the_sides(change):
    assert said(change(FLOOR)) == said(FLOOR) != []


@pytest.mark.parametrize("text", ["r", "x w", "C5 w", "(C5) r"])
def test_hardly_anything(text):
    assert said({"Fg": text, "Fl": "r"}) == []
