"""Maximal segments against a slow search straight from the definition."""

import time

import numpy as np
import pytest

from analysis.engine.analyses.segments import maximal_segments


def slow(scores):
    """Ruzzo & Tompa's definition: recursively the best segment, then left and right of it."""
    best = max(
        ((sum(scores[i : j + 1]), -(j - i), i, j) for i in range(len(scores))
         for j in range(i, len(scores))),
        default=None,
    )  # fmt: skip
    if best is None or best[0] <= 0:
        return []
    _, _, i, j = best
    right = [(a + j + 1, b + j + 1) for a, b in slow(scores[j + 1 :])]
    return [*slow(scores[:i]), (i, j), *right]


@pytest.mark.parametrize("seed", range(60))
def test_equals_the_definition(seed):
    rng = np.random.default_rng(seed)
    scores = (rng.normal(size=25) * 10**6).astype(np.int64)  # large: no ties
    found = maximal_segments(scores, np.zeros(25, dtype=bool))
    assert found == slow(scores.tolist())


def test_a_flaw_is_taken_in_if_what_follows_makes_up_for_it():
    met, flaw = 200, -800
    none = np.zeros(9, dtype=bool)
    assert maximal_segments(np.array([met] * 4 + [flaw] + [met] * 4), none) == [(0, 8)]
    assert maximal_segments(np.array([met] * 5 + [flaw] + [met] * 3), none) == [(0, 4), (6, 8)]


def test_no_run_crosses_a_break():
    breaks = np.zeros(6, dtype=bool)
    breaks[3] = True
    assert maximal_segments(np.full(6, 200), breaks) == [(0, 2), (3, 5)]
    assert maximal_segments(np.zeros(0, dtype=np.int64), np.zeros(0, dtype=bool)) == []


def test_a_long_score_takes_no_longer_an_event_than_a_short_one():
    """Linear, as the paper has it: 200,000 events that never join, each below the one before.

    Searched from the last segment back without the paper's links this takes minutes.
    """
    scores = np.where(np.arange(200_000) % 3 == 0, 100, -900).astype(np.int64)
    begun = time.process_time()
    found = maximal_segments(scores, np.zeros(len(scores), dtype=bool))
    assert time.process_time() - begun < 5
    assert found == [(n, n) for n in range(0, 200_000, 3)]
