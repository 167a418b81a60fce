"""Cells that are alike: the same rhythm, the same contour at any height, in any line."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.engine.analyses import role_alike
from analysis.engine.analyses.role_cells import grid
from tests.engine.tables import table

PARTS = {
    "Fl": "G5 q A5 B5 C6 | D6 h C6 h | G5 q A5 B5 C6",
    "Ob": "r w | C5 q D5 E5 F5 | G5 h F5 h",  # as the flute, a bar later, a fifth lower
    "Vc": "C3 q C3 C3 C3 | F3 w | E3 w",
}


def keys():
    score = table(PARTS)
    cells = grid(score, score.movements[0])
    return cells, role_alike.keys(cells)


def test_rhythm_contour_and_two_bars():
    _, found = keys()
    rhythm, contour, two = (found[..., k] for k in range(3))
    assert rhythm[0, 0] == rhythm[1, 1] == rhythm[2, 0]
    assert contour[0, 0] == contour[1, 1] == contour[0, 2] != contour[2, 0]
    assert contour[0, 1] == contour[1, 2]
    assert two[0, 0] == two[1, 1]
    assert two[0, 2] != two[0, 0]  # nothing follows


def test_means_over_what_is_alike():
    cells, found = keys()
    values = np.arange(9.0).reshape(3, 3, 1)
    there = cells.sounding > 0
    means = role_alike.means(values, there, found)
    assert means.shape == (there.sum(), 6)
    # flute, bar 1: rhythm as oboe bar 2, cello bar 1, flute bar 3; contour without the cello
    assert means[0, :2] == pytest.approx([(0 + 2 + 4 + 6) / 4, 2])
    assert means[0, 2:4] == pytest.approx([(0 + 2 + 4) / 3, np.log2(3)])
    assert means[0, 4:] == pytest.approx([(0 + 4) / 2, 1])


def test_nothing_sounds():
    score = table({"Fl": "r w | r w"})
    cells = grid(score, score.movements[0])
    found = role_alike.keys(cells)
    assert role_alike.means(np.zeros((1, 2, 4)), cells.sounding > 0, found).shape == (0, 15)
