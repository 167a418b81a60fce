"""The second look at a cell: who goes with whom, means worked out by hand, what must not matter.

Expected values are argued from the notes of each case (no source); the list of changes that must
leave roles alone (order of the parts, a silent part) is the one of the project's issue on accuracy.
"""

from __future__ import annotations

import json
import subprocess
import sys

import numpy as np
import pytest

from analysis.engine.analyses import role_model, role_second
from analysis.engine.analyses.role_cells import grid
from analysis.engine.analyses.role_features import measure
from analysis.engine.errors import EngineError
from tests.engine.tables import table

PARTS = {
    "Fl": "G5 q A5 B5 C6 | D6 h C6 h | B5 w",
    "Ob": "E5 q F5 G5 A5 | B5 h A5 h | G5 w",  # in the flute's rhythm, a third below
    "Vl I": "G4 q A4 B4 C5 | C4 e C4 C4 C4 C4 C4 C4 C4 | r w",  # doubles the flute in bar 1
    "Vc": "C3 w | F3 w | E3 w",
}


def seen(parts):
    score = table(parts)
    cells = grid(score, score.movements[0])
    measured = measure(cells, score.lines)
    return score, cells, measured, role_second.company(cells, measured, score.lines)


def test_fellows_are_of_one_family_and_rhythm_or_double():
    _, _, _, found = seen(PARTS)
    said = [[np.flatnonzero(row).tolist() for row in bar] for bar in found.fellows]
    # bar 1: flute with oboe (rhythm) and violin (an octave below); the oboe has no violin
    assert said[0] == [[0, 1, 2], [0, 1], [0, 2], [3]]
    assert said[1] == [[0, 1], [0, 1], [2], [3]]
    # bar 3: the violin rests, so it is nobody's fellow and has none
    assert said[2] == [[0, 1], [0, 1], [], [3]]


def test_measures_of_the_group():
    _, _, _, found = seen(PARTS)
    group = dict(zip(role_second.GROUP, found.group[0, 0], strict=True))  # the flute in bar 1
    assert group["size"] == 2
    assert group["share"] == pytest.approx(2 / 4)
    assert group["rhythm-share"] == pytest.approx(3 / 4)  # the violin too has four quarters
    assert group["unison"] == 0  # a third is no doubling
    assert group["families"] == 2
    assert group["rhythms"] == pytest.approx(2)  # quarters, and the cello's whole note
    assert group["range"] == pytest.approx(np.mean([79, 81, 83, 84]) - np.mean([76, 77, 79, 81]))


def test_means_over_fellows_and_over_bars():
    values = np.array([[1.0, 3.0, 8.0], [5.0, 0.0, 0.0]])[..., None]
    there = np.array([[True, True, True], [True, False, True]])
    near = role_second.around(values, there, 1)[..., 0]
    assert near.tolist() == [[2.0, 4.0, 5.5], [5.0, 2.5, 0.0]]
    pairs = np.zeros((3, 2, 2), dtype=bool)
    pairs[0, 0, 1] = True
    both = role_second.among(values, pairs, itself=True)[..., 0]
    assert both.tolist() == [[3.0, 3.0, 8.0], [5.0, 0.0, 0.0]]
    assert role_second.among(values, pairs)[..., 0].tolist() == [[5.0, 0, 0], [0, 0, 0]]


def chances(parts):
    score = table(parts)
    found = role_model.estimate(score, score.movements[0]).probability
    return {line.name: found[line.index] for line in score.lines}


def test_a_silent_part_changes_nothing():
    plain = chances(PARTS)
    more = chances({**PARTS, "Timp": "r w | r w | r w"})
    for name, found in plain.items():
        assert found == pytest.approx(
            more[name], abs=0.02
        )  # its place in the score counts a little


def test_the_probabilities_are_the_same_at_every_run():
    assert all((a == b).all() for a, b in zip(chances(PARTS).values(), chances(PARTS).values(),
                                              strict=True))  # fmt: skip


def test_nothing_sounds_nothing_is_said():
    found = chances({"Fl": "r w | r w", "Vc": "r w | r w"})
    assert all((p == 0).all() for p in found.values())


def test_stored_weights_of_other_views_are_refused():
    value = json.loads(role_model._FILE.read_text(encoding="utf-8"))
    with pytest.raises(EngineError):
        role_model.from_json(value | {"views": value["views"][1:]})


def test_the_weights_are_small_and_need_no_learning_library():
    assert role_model._FILE.stat().st_size < 5_000_000
    code = (
        "import sys; from analysis.engine.analyses import role_model; role_model.shipped();"
        "assert not any(m.partition('.')[0] in ('sklearn', 'scipy') for m in sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
