"""Doublings on hand-made tables, with exact fractions.

Definitions: contract, "When a claim holds" (doubling by attacks met); trade facts 5.1 and 12.
"""

import numpy as np
import pytest

from analysis.engine.analyses import doubling
from analysis.engine.analyses.runs import class_runs, meeting, pair_runs
from analysis.engine.sentences import render
from analysis.engine.settings import Settings

from ..tables import table

S = Settings()
TUNE = "G5 q A5 B5 C6 | D6 q C6 B5 A5 | G5 q F#5 E5 D5 | G5 q B5 A5 G5"


def low(text, octaves):
    """The same text so many octaves lower."""
    return "".join(str(int(c) - octaves) if c.isdigit() else c for c in text)


def runs(lines, **more):
    return pair_runs(table(lines, **more), 0, 1, S)


def facts(lines, **more):
    return [(r.coverage, r.octaves, r.first, r.last, r.met, r.of_a, r.of_b) for r in
            runs(lines, **more)]  # fmt: skip


@pytest.mark.parametrize("octaves", [0, 1, 2, 3])
def test_constant_distance_counts_octaves(octaves):
    # trade facts 12, assertion 14: violin I over cello two octaves, over the bass three
    assert facts({"Vl I": TUNE, "Fg": low(TUNE, octaves)}) == [("full", octaves, 0, 3, 16, 16, 16)]


def test_parallel_thirds_are_no_doubling():
    # trade facts 12, assertion 16
    third = "B5 q C6 D6 E6 | F#6 q E6 D6 C6 | B5 q A5 G5 F#5 | B5 q D6 C6 B5"
    assert facts({"Fl": third, "Ob": TUNE}) == []


def test_thresholds_are_shares_of_either_line():
    # 15 of 16, then 13 of 16 in places that do not break the run
    one = TUNE.replace("B5 A5 | G5", "E6 A5 | G5")
    assert facts({"Vl I": TUNE, "Fl": one}) == [("full", 0, 0, 3, 15, 16, 16)]
    three = "G5 q A5 E5 C6 | D6 q A5 B5 A5 | G5 q F#5 C5 D5 | G5 q B5 A5 G5"
    assert facts({"Vl I": TUNE, "Fl": three}) == [("noted", 0, 0, 3, 13, 16, 16)]


def test_three_met_are_needed_and_a_bar():
    meets_twice = {"Vl I": TUNE, "Fl": "G5 q A5 D5 E5 | F5 q G5 D5 F5 | r | r"}
    assert facts(meets_twice) == []
    # three eighths met within a bar that goes on otherwise: contact only
    short = {"Vl I": "D5 e G5 A5 B5 C6 D6 E6 F6", "Fl": "C5 e G5 A5 B5 G5 A5 B5 A5"}
    assert facts(short) == []
    found = meeting(table(short), 0, 1, 0, 40320)
    assert (found.met, found.of_a, found.of_b) == ({0: 3}, 8, 8)
    # the same three notes, all that either plays in that bar: a doubling
    alone = {"Vl I": "r q G5 A5 B5 | C5 w", "Fl": "r q G5 A5 B5 | E5 w"}
    assert facts(alone) == [("full", 0, 0, 0, 3, 3, 3)]


def test_a_run_starts_and_ends_on_the_attack():
    t = table({"Vl I": TUNE, "Fl": "D6 q E6 B5 C6 | D6 q C6 B5 A5 | G5 q F#5 C6 B5 | r"})
    (run,) = pair_runs(t, 0, 1, S)
    assert (run.start, run.end) == (2 * 10080, 10 * 10080)
    assert (run.first, run.last, run.met) == (0, 2, 8)
    (finding, *_) = doubling.find_doublings(t, S)
    assert "b. 1, beat 3 – b. 3, beat 2" in render(finding.sentence)


def test_lines_that_part_for_a_bar_make_two_runs():
    other = "G5 q A5 B5 C6 | D6 q C6 B5 A5 | E5 q D5 C5 B4 | G5 q B5 A5 G5"
    found = facts({"Vl I": TUNE, "Fl": other})
    assert [(f[0], f[2], f[3], f[4]) for f in found] == [("full", 0, 1, 8), ("full", 3, 3, 4)]


def test_changing_octave_is_one_run_by_pitch_class():
    flip = "G5 q A5 B5 C6 | D6 q C6 B5 A5 | G4 q F#4 E4 D4 | G4 q B4 A4 G4"
    t = table({"Vl I": TUNE, "Fl": flip})
    assert [(r.octaves, r.first, r.last) for r in pair_runs(t, 0, 1, S)] == [(0, 0, 1), (1, 2, 3)]
    (whole,) = class_runs(t, 0, 1, S)
    assert (whole.met, whole.first, whole.last) == (16, 0, 3)


def test_simplified_and_decorated():
    cello = "C3 e E3 D3 F3 E3 G3 F3 D3 | C3 e E3 D3 B2 C3 G2 C3 E3"
    bass = "C2 q D2 E2 F2 | C2 q D2 C2 C2"
    (run,) = runs({"Vc": cello, "Cb": bass})
    assert (run.coverage, run.met, run.of_a, run.of_b) == ("simplified", 8, 8, 16)
    assert (run.a, run.b, run.octaves) == (1, 0, -1)
    # job 6, example 6: the plain tune in the clarinet, decorated by the violin
    violin = "C5 e D5 E5 D5 F5 E5 G5 F5 | E5 e F5 D5 E5 C5 D5 C5 D5"
    clarinet = "C5 q E5 F5 G5 | E5 q D5 C5 C5"
    (run,) = runs({"Cl": clarinet, "Vl I": violin})
    assert run.coverage == "heterophonic"


@pytest.mark.parametrize("first", ["Ob", "Vla"])
def test_the_simpler_line_is_the_one_with_fewer_notes_whoever_stands_first(first):
    # the oboe attacks twice more than the viola below it
    oboe = "B4 q C5 e A4 B4 q C5 e A4 | B4 h F5"
    viola = "B3 q C4 B3 C4 | B3 h F4"
    lines = {"Ob": oboe, "Vla": viola}
    order = sorted(lines, key=lambda name: name != first)
    found = pair_runs(table({n: lines[n] for n in order}), 0, 1, S)
    (run,) = [r for r in found if r.coverage == "simplified"]
    assert (order[run.a], run.of_a, run.of_b, run.octaves) == ("Vla", 6, 8, -1)


def test_first_notes_of_bars_are_a_reinforcement():
    # job 6, example 5: coverage 4 of 28
    violin = " | ".join(f"{a}5 e C5 D5 E5 F5 E5 D5 r" for a in "CGAE")
    oboe = "C5 q | G5 q | A5 q | E5 q"
    (run,) = runs({"Ob": oboe, "Vl I": violin})
    assert (run.coverage, run.met, run.of_a, run.of_b) == ("reinforcement", 4, 4, 28)


def test_held_against_repeated_is_no_doubling():
    repeated = " | ".join(["C4 e " * 8] * 4)
    assert facts({"Cor": "C4 w | C4 w | C4 w | C4 w", "Vla": repeated}) == []
    moving = " | ".join(f"{p}4 e " * 8 for p in "CDEC")
    assert facts({"Cor": "C4 w | D4 w | E4 w | C4 w", "Vla": moving}) == []
    # the same rhythm is a doubling
    assert facts({"Cor": moving, "Vla": moving})[0][0] == "full"


def test_of_chords_the_best_line_counts():
    chords = "E4+G5 q F4+A5 G4+B5 A4+C6 | B4+D6 q A4+C6 G4+B5 F4+A5"
    assert facts({"Vl I": "G5 q A5 B5 C6 | D6 q C6 B5 A5", "Pf": chords})[0][:2] == ("full", 0)


def test_rests_of_more_than_a_bar_end_a_run():
    with_rest = "G5 q A5 B5 C6 | r | r | G5 q A5 B5 C6"
    found = facts({"Vl I": with_rest, "Fl": with_rest})
    assert [(f[2], f[3]) for f in found] == [(0, 0), (3, 3)]


def test_findings_groups_and_lines_left_alone():
    t = table(
        {"Fl": TUNE, "Ob": low(TUNE, 1), "Cor": "r | r | C4 w | C4 w", "Vl I": TUNE,
         "Vla": "C4 w | D4 w | E4 h F4 | G4 w"}
    )  # fmt: skip
    found = doubling.find_doublings(t, S)
    said = [render(f.sentence) for f in found]
    assert said[:2] == [
        "b. 1–4: Fl doubles Vl I in unison (16 of 16 attacks).",
        "b. 1–4: Ob doubles Vl I one octave lower (16 of 16 attacks).",
    ]  # flute and oboe follow from these two
    assert "b. 1–4: Fl, Ob and Vl I play one line in two octave levels." in said
    assert "b. 1–4: nobody doubles Vla." in said
    pair = found[1]
    assert pair.value == {
        "kind": "doubling", "parts": ["P2"], "with": ["P4"], "octaves": -1, "direction": True,
        "coverage": "full",
    }  # fmt: skip
    assert [len(e.ids) for e in pair.evidence] == [16, 16]


def test_a_2_is_two_players_in_unison_and_spoils_no_solitude():
    found = doubling.find_doublings(table({"Ob 1": TUNE, "Ob 2": TUNE}), S)
    said = [render(f.sentence) for f in found]
    assert said[0] == "b. 1–4: Ob 1 and Ob 2 play in unison (a 2)."
    assert found[0].value["parts"] == [{"part": "P1", "player": 2}]
    assert "b. 1–4: nobody doubles Ob 1." in said


def test_per_bar_asks_for_the_parts_as_wholes():
    second = "E5 q F5 G5 A5 | B5 q A5 G5 F5 | E5 q D5 C5 B4 | E5 q G5 F5 E5"
    t = table({"Ob 1": TUNE, "Ob 2": second, "Vl I": TUNE, "Fl": TUNE})
    # Vl I = part 1, Fl = part 2; the oboes as a part play twice the notes
    assert list(doubling.per_bar(t)) == [(bar, 1, 2, 0) for bar in range(4)]


def test_no_notes_no_findings():
    t = table({"Fl": "r | r", "Ob": "r | r"})
    assert doubling.find_doublings(t, S) == []
    assert list(doubling.per_bar(t)) == []


def test_runs_keep_to_their_movement():
    two = "G5 q A5 B5 C6 || D6 q C6 B5 A5"
    assert [f[2:4] for f in facts({"Vl I": two, "Fl": two})] == [(0, 0), (1, 1)]


def test_same_table_same_runs():
    lines = {"Vl I": TUNE, "Fl": low(TUNE, 1)}
    first, second = runs(lines), runs(lines)
    assert [np.array_equal(a.at, b.at) for a, b in zip(first, second, strict=True)] == [True]
