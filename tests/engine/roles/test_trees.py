"""Trees as arrays: walked rightly, stored and read back, damaged ones refused."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.engine.analyses import role_lead, role_trees
from analysis.engine.analyses.role_trees import Trees
from analysis.engine.errors import EngineError

#: two trees: x0 <= 1 ? 10 : (x1 <= 0 ? 20 : 30), and a single leaf of 0.5
TREES = Trees(
    feature=np.array([0, -1, 1, -1, -1, -1]),
    limit=np.array([1.0, 0, 0, 0, 0, 0]),
    left=np.array([1, 0, 3, 0, 0, 0]),
    right=np.array([2, 0, 4, 0, 0, 0]),
    value=np.array([0, 10.0, 0, 20.0, 30.0, 0.5]),
    roots=np.array([0, 5]),
    start=-1.0,
)


def test_every_row_collects_the_leaf_it_comes_to():
    rows = np.array([[1.0, 9.0], [1.5, 0.0], [2.0, 0.1]])
    assert TREES.sums(rows).tolist() == [9.5, 19.5, 29.5]
    assert TREES.sums(np.zeros((0, 2))).tolist() == []


def test_stored_and_read_back_they_say_the_same():
    again = role_trees.from_json(role_trees.as_json(TREES), 2)
    rows = np.random.default_rng(1).normal(size=(50, 2))
    assert again.sums(rows).tolist() == TREES.sums(rows).tolist()


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("left", [0, 0, 3, 0, 0, 0]),  # back to itself
        ("right", [9, 0, 4, 0, 0, 0]),  # out of the arrays
        ("feature", [0, -1, 2, -1, -1, -1]),  # a column that is not there
        ("roots", [0, 6]),
        ("value", [1.0]),
    ],
)
def test_damaged_trees_are_refused(field, value):
    with pytest.raises(EngineError):
        role_trees.from_json(role_trees.as_json(TREES) | {field: value}, 2)


def test_trees_of_other_features_are_refused():
    with pytest.raises(EngineError):
        role_lead.from_json({"features": ["density"], "record": {}})
