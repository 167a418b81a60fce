"""The measures of two readings by hand, on readings whose agreement is counted by hand."""

from __future__ import annotations

import csv
from itertools import pairwise

import pytest

from tests.hand_readings import FOLDER, Reading, agreement, by_hand, f1, hits, key_credit

TABLES = sorted(FOLDER.glob("*/*.csv"))


def test_shares_are_counted_bar_by_bar() -> None:
    one = Reading({0: [1, 2], 1: [1], 2: [], 3: [4]}, {0: (0, "major"), 1: (7, "major")})
    other = Reading({0: [1], 1: [2, 1], 2: [3], 3: [5]}, {0: (0, "major"), 1: (0, "major")})
    found = agreement(one, other)
    assert found["melody strict"] == (1, 3)
    assert found["melody lenient"] == (2, 3)
    assert found["key exact"] == (1, 2)
    assert found["key weighted"] == (1.5, 2)


def test_roles_over_the_cells_both_name() -> None:
    one = Reading(roles={(0, 0): {"melody"}, (0, 1): {"harmony"}, (0, 2): {"rhythm"}})
    other = Reading(roles={(0, 0): {"melody"}, (0, 1): {"rhythm"}, (0, 3): {"melody"}})
    assert f1([hits(one, other)]) == (pytest.approx(1 / 3), pytest.approx(0.5))


def test_related_keys_have_part_of_the_credit() -> None:
    """Weights of the corpora: fifth .5, relative .3, parallel .2 (eval/README.md)."""
    c, a = (0, "major"), (9, "minor")
    others = (c, (7, "major"), (5, "major"), a, (0, "minor"), (2, "major"))
    assert [key_credit(c, k) for k in others] == [1.0, 0.5, 0.5, 0.3, 0.2, 0.0]


@pytest.mark.parametrize("path", TABLES, ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_spans_follow_each_other_without_a_gap(path) -> None:
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert int(rows[0]["first"]) == 1
    assert all(int(b["first"]) == int(a["last"]) + 1 for a, b in pairwise(rows))
    assert by_hand(path).melody.keys() == set(range(int(rows[-1]["last"])))
