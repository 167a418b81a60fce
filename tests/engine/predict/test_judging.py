"""The accuracy harness judges by its floors: figures made by hand, floors from the main job."""

from __future__ import annotations

import copy
import json

import pytest

from tests import accuracy, accuracy_works

GOOD = {
    "s3": {
        "pooled": {
            "roles": {"macro_f1": 0.6, "per_cell": 1.3},
            "keys": {"exact": 0.7},
        },
        "movements": {},
        "works": {
            "x": {
                "keys": {"exact": 0.7, "constant": 0.5},
                "roles": {"macro_f1": 0.6, "constant": 0.58},
            }
        },
    },
    "hauptstimme": {
        "pooled": {"doublings": {"f1": 0.98}},
        "movements": {},
        "works": {"y": {"melody": {"top": 0.6, "constant": 0.4}}},
    },
}


def test_all_kept():
    assert accuracy.below_floor(GOOD) == ([], [])


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        (("s3", "pooled", "roles", "macro_f1"), 0.54, "macro F1"),
        (("s3", "pooled", "roles", "per_cell"), 1.36, "roles per cell"),
        (("s3", "pooled", "keys", "exact"), 0.59, "Keys, exact"),
        (("s3", "works", "x", "keys", "exact"), 0.5, "Keys of x (s3): 0.500 is not above one key"),
        (("s3", "works", "x", "roles", "macro_f1"), 0.57, "Roles of x (s3)"),
        (("hauptstimme", "works", "y", "melody", "top"), 0.39, "Main melody of y (hauptstimme)"),
        (("hauptstimme", "pooled", "doublings", "f1"), 0.96, "Doublings"),
    ],
)
def test_one_below_is_told(path, value, words):
    result = copy.deepcopy(GOOD)
    place = result
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    bad, unmeasured = accuracy.below_floor(result)
    assert len(bad) == 1
    assert words in bad[0]
    assert unmeasured == []


def test_what_was_not_measured_is_no_success():
    bad, unmeasured = accuracy.below_floor({"s3": {"pooled": {}, "movements": {}}})
    assert (bad, unmeasured) == ([], ["roles", "keys", "doublings"])


def test_best_constant_is_the_longest():
    keys = [[0, 8, "C major"], [8, 20, "G major"], [20, 24, "C major"]]
    assert accuracy_works.best_constant(keys) == (12, 24)
    assert accuracy_works.best_constant([*keys, [24, 48, "A minor"]]) == (24, 48)
    assert accuracy_works.best_constant([[0, 3, 1, ""], [3, 4, 2, ""]]) == (3, 4)


def test_all_three_roles_everywhere():
    """Of four cells two have melody: P 1/2, R 1, F1 2/3; rhythm in one: 2/5; harmony in all: 1."""
    cells = [[1, 0, ["melody", "harmony"]], [1, 1, ["harmony"]], [2, 0, ["rhythm", "harmony"]],
             [2, 1, ["melody", "harmony"]]]  # fmt: skip
    assert accuracy_works.constant_roles(cells) == pytest.approx((2 / 3 + 2 / 5 + 1) / 3)


def test_movements_of_a_work_have_each_their_constant(tmp_path):
    (tmp_path / "data" / "s3").mkdir(parents=True)
    for name, key in (("dv1", "C major"), ("dv2", "G major")):
        answers = {"keys": [[0, 6, key], [6, 10, "D minor"]]}
        (tmp_path / "data" / "s3" / f"{name}.ref.json").write_text(json.dumps(answers))
    one = {"keys": {"exact": 1.0}}
    result = {
        "s3": {
            "movements": {"dv1": copy.deepcopy(one), "dv2": copy.deepcopy(one)},
            "works": {"dv": copy.deepcopy(one)},
            "pooled": copy.deepcopy(one),
        }
    }
    accuracy_works.add_constants(tmp_path, result)
    assert result["s3"]["works"]["dv"]["keys"]["constant"] == pytest.approx(0.6)
    assert result["s3"]["movements"]["dv1"]["keys"]["constant"] == pytest.approx(0.6)
    assert accuracy_works.below_constant(result) == []


def test_roles_are_counted_in_labelled_cells_alone():
    reference = [[1, 0, ["melody"]], [2, 0, ["melody"]], [3, 1, ["rhythm"]]]
    said = [
        {"bar": 1, "part": 0, "roles": ["melody", "rhythm"]},
        {"bar": 3, "part": 1, "roles": ["rhythm"]},
        {"bar": 9, "part": 5, "roles": ["melody", "rhythm", "harmony"]},
    ]
    assert accuracy.roles_named(reference, said) == (3, 3)
