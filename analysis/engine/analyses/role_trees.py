"""Sums over decision trees kept as plain arrays: what a gradient-boosted model comes to.

Trained elsewhere (`analysis.engine.training.lead`), stored as JSON, applied with numpy alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses.role_cells import Floats, Ints
from analysis.engine.errors import EngineError

_FIELDS = ("feature", "limit", "left", "right", "value")


@dataclass(frozen=True)
class Trees:
    """All nodes of all trees in one row of arrays.

    Attributes
    ----------
    feature : int64
        Column looked at; -1 at a leaf.
    limit : float64
        A value at or below it goes left.
    left, right : int64
        Places of the next nodes in these arrays.
    value : float64
        What a leaf adds.
    roots : int64, shape (trees,)
    start : float
        What the sum begins with.
    """

    feature: Ints
    limit: Floats
    left: Ints
    right: Ints
    value: Floats
    roots: Ints
    start: float

    def sums(self, values: NDArray[np.floating[Any]]) -> Floats:
        """The sum for each row of `values`, shape (n,)."""
        columns = np.ascontiguousarray(values.T, dtype=np.float64)
        total = np.full(len(values), self.start)
        for root in self.roots.tolist():
            total += self._value(root, columns)
        return total

    def _value(self, node: int, columns: Floats) -> Floats | np.float64:
        """What one tree adds to each row, from a node on: both sides, then the one it goes to.

        Trees are small, and a whole column at once is quicker than following every row.
        """
        column = self.feature[node]
        if column < 0:
            return np.float64(self.value[node])
        down = columns[column] <= self.limit[node]
        left, right = self.left[node], self.right[node]
        return np.where(down, self._value(left, columns), self._value(right, columns))


def as_json(trees: Trees) -> dict[str, Any]:
    """The stored form; `from_json` reads it."""
    return {
        "start": trees.start,
        "roots": trees.roots.tolist(),
        "feature": trees.feature.tolist(),
        "limit": [round(x, 5) for x in trees.limit.tolist()],
        "left": trees.left.tolist(),
        "right": trees.right.tolist(),
        "value": [round(x, 5) for x in trees.value.tolist()],
    }


def from_json(stored: Mapping[str, Any], features: int) -> Trees:
    """Build trees from their stored form; EngineError if they cannot be walked to an end."""
    columns = {name: np.asarray(stored[name]) for name in _FIELDS}
    feature, left, right = (columns[k].astype(np.int64) for k in ("feature", "left", "right"))
    roots = np.asarray(stored["roots"], dtype=np.int64)
    nodes = np.arange(len(feature))
    inner = feature >= 0
    fits = all(len(c) == len(nodes) for c in columns.values()) and bool((feature < features).all())
    # every step leads on to a later node, so no walk can turn in a circle
    for way in (left[inner], right[inner]) if fits else ():
        fits = fits and bool(((way > nodes[inner]) & (way < len(nodes))).all())
    if not fits or not _inside(roots.tolist(), len(nodes)):
        raise EngineError("The stored trees are damaged or belong to other features.")
    limit, value = columns["limit"].astype(np.float64), columns["value"].astype(np.float64)
    return Trees(feature, limit, left, right, value, roots, float(stored["start"]))


def _inside(roots: Sequence[int], nodes: int) -> bool:
    return all(0 <= r < nodes for r in roots)
