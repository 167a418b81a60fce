"""Cells of a movement that are alike: what the first look says of the same figure elsewhere.

A tune that comes again, in any line and at any height, is judged by all its places together.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses.role_cells import Bools, Floats, Grid

#: by what cells are alike: the rhythm of the bar; its contour besides; that of two bars
ALIKE = ("rhythm", "contour", "contour-of-two")

Keys = NDArray[np.uint64]


def keys(cells: Grid) -> Keys:
    """Numbers that are equal where cells are alike, shape (lines, bars, len(ALIKE))."""
    s = cells.strokes
    lines, bars = cells.shape
    size = lines * bars
    cell = s.line * bars + s.bar
    within = (s.onset - np.array([b.start for b in cells.bars], dtype=np.int64)[s.bar]) // 84
    first = np.r_[True, np.diff(cell) != 0][: len(cell)]
    begins = np.zeros(size, dtype=np.int64)
    begins[cell[first]] = s.top[first]
    moved = s.top - begins[cell]  # semitones from the first attack of the bar
    stroke = (within.astype(np.uint64) + np.uint64(1)) * np.uint64(0x9E3779B97F4A7C15)
    stroke ^= stroke >> np.uint64(29)
    turned = stroke * ((moved + 200).astype(np.uint64) * np.uint64(2) + np.uint64(7))
    turned ^= turned >> np.uint64(31)
    rhythm, contour = np.zeros(size, dtype=np.uint64), np.zeros(size, dtype=np.uint64)
    np.add.at(rhythm, cell, stroke)
    np.add.at(contour, cell, turned)
    one = contour.reshape(lines, bars)
    two = one.copy()
    two[:, :-1] = one[:, :-1] * np.uint64(3) + one[:, 1:] * np.uint64(5)
    return np.stack([rhythm.reshape(lines, bars), one, two], axis=-1)


def means(values: Floats, there: Bools, alike: Keys) -> Floats:
    """Means of `values` (lines, bars, k) over all cells alike, and how many these are (log2).

    Returns
    -------
    float64, shape (cells that sound, len(ALIKE) * (k + 1))
        In the order of ``numpy.nonzero(there)``.
    """
    own = values[there]
    columns = []
    for k in range(alike.shape[-1]):
        _, kind, many = np.unique(alike[there][:, k], return_inverse=True, return_counts=True)
        kind = kind.reshape(-1)
        sums = [np.bincount(kind, own[:, j], len(many)) for j in range(own.shape[1])]
        columns.append(np.stack([*(total / many for total in sums), np.log2(many)], axis=1)[kind])
    return np.concatenate(columns, axis=1)
