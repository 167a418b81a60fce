"""Nets as arrays: sums worked out by hand, stored and read back, damaged ones refused."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.engine.analyses import role_net
from analysis.engine.analyses.role_net import Net
from analysis.engine.errors import EngineError

#: two measures, two units (x0, and x1 - 1 if that is above 0), two outputs (a + b, a - b)
NET = Net(
    middle=np.array([10.0, 0.0]),
    deviation=np.array([2.0, 1.0]),
    low=np.array([6.0, -4.0]),
    high=np.array([14.0, 3.0]),
    layers=(
        (np.eye(2), np.array([0.0, -1.0])),
        (np.array([[1.0, 1.0], [1.0, -1.0]]), np.array([0.0, 0.5])),
    ),
)


def test_what_a_net_says_of_a_row():
    rows = np.array([[12.0, 0.5], [12.0, 2.0], [8.0, 3.0]])
    # scaled: (1, .5), (1, 2), (-1, 3); units: (1, 0), (1, 1), (0, 2)
    assert NET.sums(rows).tolist() == [[1.0, 1.5], [2.0, 0.5], [2.0, -1.5]]
    assert NET.sums(np.zeros((0, 2))).shape == (0, 2)


def test_beyond_what_it_was_trained_with_nothing_more_is_said():
    assert NET.sums(np.array([[99.0, 99.0]])).tolist() == NET.sums(np.array([[14.0, 3.0]])).tolist()


def test_the_mean_over_nets_is_one_of_chances():
    rows = np.array([[12.0, 2.0]])
    one = 1 / (1 + np.exp(-np.array([2.0, 0.5])))
    assert role_net.chances((NET, NET), rows)[0] == pytest.approx(one)
    assert role_net.shares((NET,), rows)[0] == pytest.approx(
        np.exp([2.0, 0.5]) / np.exp([2.0, 0.5]).sum()
    )
    assert role_net.shares((NET, NET), rows).sum() == pytest.approx(1)
    assert np.abs(role_net.log_odds(np.array([0.0, 1.0]))).max() < 6


def test_stored_and_read_back_it_says_the_same():
    again = role_net.from_json(role_net.as_json(NET), 2, 2)
    rows = np.random.default_rng(1).normal(10, 5, size=(50, 2))
    assert again.sums(rows).tolist() == NET.sums(rows).tolist()


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("middle", [10.0]),
        ("deviation", [2.0, 0.0]),
        ("low", [6.0, float("nan")]),
        ("layers", []),
        ("layers", [{"weights": [[1.0, 0.0]], "shifts": [0.0, 0.0]}]),  # one measure, not two
        ("layers", [{"weights": [[1.0], [0.0]], "shifts": [0.0]}]),  # one output
    ],
)
def test_damaged_nets_are_refused(field, value):
    with pytest.raises(EngineError):
        role_net.from_json(role_net.as_json(NET) | {field: value}, 2, 2)
