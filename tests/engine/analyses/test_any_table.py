"""Whatever the table: analyses do not fail, findings lie in the file, runs keep their promises."""

import numpy as np
import pytest

from analysis.engine.analyses import analyse
from analysis.engine.analyses.attacks import attacks
from analysis.engine.analyses.runs import classify, meeting, pair_runs
from analysis.engine.settings import Settings

from ..tables import table

S = Settings()
NAMES = ("Fl", "Ob 1", "Ob 2", "Cor in Eb", "Tr in D", "Timp", "Vl I", "Vla", "Vc")
PITCHES = ("C4", "D4", "Eb4", "G4", "A4", "C5", "D5", "G3", "r", "r", "C4+E4+G4", "x", "(D5)")
LENGTHS = ("q", "e", "h", "q", "s", "q.", "e3")


def random_table(seed):
    rng = np.random.default_rng(seed)
    motif = [" ".join(_bar(rng)) for _ in range(3)]  # shared bars, so that lines do meet

    def line():
        bars = [
            motif[rng.integers(3)] if rng.random() < 0.5 else " ".join(_bar(rng)) for _ in range(9)
        ]
        return " | ".join(bars[:6]) + " || " + " | ".join(bars[6:])

    return table({name: line() for name in NAMES})


def _bar(rng):
    left, out = 40320, []
    while left > 0 and rng.random() < 0.9:
        length = LENGTHS[rng.integers(len(LENGTHS))]
        ticks = {"q": 10080, "e": 5040, "h": 20160, "s": 2520, "q.": 15120, "e3": 3360}[length]
        pitch = PITCHES[rng.integers(len(PITCHES))]
        if ticks > left:
            break
        left -= 0 if pitch.startswith("(") else ticks
        out += [pitch, length]
    return out or ["r"]


@pytest.mark.parametrize("seed", range(25))
def test_findings_of_any_table_are_sound(seed):
    t = random_table(seed)
    found = analyse(t)  # checks spans, evidence, confidence, sentences
    assert found == analyse(random_table(seed))


@pytest.mark.parametrize("seed", range(25))
def test_runs_are_what_their_coverage_says(seed):
    t = random_table(seed)
    grid = attacks(t)
    for a in range(len(t.lines)):
        for b in range(a + 1, len(t.lines)):
            for run in pair_runs(t, a, b, S):
                counted = meeting(t, run.a, run.b, run.start, int(run.at[-1]) + 1)
                assert counted.met[run.octaves] == run.met >= S.doubling_min_met
                assert counted.of_a == run.of_a or run.of_a < run.of_b
                assert run.at[0] == run.start
                assert t.bars[run.first].movement == t.bars[run.last].movement
                same = {run.coverage, classify(run.met, run.of_a, run.of_b, S)}
                assert len(same) == 1 or same == {"simplified", "heterophonic"}
                pitches = [{int(p) for p in grid.notes_at(x, run.at)["pitch"]} for x in (a, b)]
                assert all(pitches)


def test_swapping_the_lines_swaps_the_sign():
    text = "G5 q A5 B5 C6 | D6 q C6 B5 A5"
    low = "G4 q A4 B4 C5 | D5 q C5 B4 A4"
    (down,) = pair_runs(table({"Vl I": text, "Fg": low}), 0, 1, S)
    (up,) = pair_runs(table({"Fg": low, "Vl I": text}), 0, 1, S)
    assert (down.octaves, up.octaves) == (1, -1)


@pytest.mark.parametrize("text", ["r", "r | r", "x w", "(C5) r", "C5!cue w"])
def test_tables_with_hardly_anything(text):
    assert analyse(table({"Fl": text, "Vl I": "r", "Cor in Eb": "r"})) is not None


FULL = ("C5 w", "G5 w", "C5 h E5", "G5 q A5 B5 C6", "D6 q C6 B5 A5", "C4 w", "G3 h E4")


@pytest.mark.parametrize("seed", range(25))
def test_nothing_runs_on_into_the_next_movement(seed):
    """Movements whose sound abuts: no rest at the seam ends what belongs to one of them."""
    rng = np.random.default_rng(seed)
    lines = {}
    for name in NAMES:
        bars = [FULL[k] for k in rng.integers(len(FULL), size=8)]
        lines[name] = " | ".join(bars[:4]) + " || " + " | ".join(bars[4:])
    t = table(lines)
    found = analyse(t, Settings(breath_seconds=3.0))
    assert {f.movement for f in found} == {0, 1}
    assert all(t.bars[f.last].movement == f.movement for f in found)
    assert {"crossing", "playing", "role"} <= {f.kind for f in found}
