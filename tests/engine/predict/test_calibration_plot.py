"""The calibration plot: tenths by hand, a picture a browser can read."""

from __future__ import annotations

from xml.etree import ElementTree

from tests import accuracy, accuracy_plot


def test_tenths_hold_mean_probability_and_share_right():
    pairs = [(0.12, False, 1), (0.18, True, 1), (1.0, True, 1), (0.95, False, 1)]
    assert accuracy_plot.bins(pairs) == [(0.15, 0.5, 2), (0.975, 0.5, 2)]


def test_a_pair_weighs_as_much_as_it_lasts():
    assert accuracy_plot.bins([(0.5, True, 3), (0.5, False, 1)]) == [(0.5, 0.75, 4)]


def test_keys_count_where_both_are_and_in_any_spelling():
    reference = [[0, 8, "Db major"], [8, 12, "A minor"]]
    said = [{"start": 0, "end": 10, "key": "C# major", "p": 0.8}]
    assert accuracy_plot.key_pairs(reference, said) == [(0.8, True, 8), (0.8, False, 2)]


def test_only_labelled_cells_with_probabilities_count():
    reference = [[1, 0, ["melody"]], [2, 0, ["rhythm"]]]
    said = [
        {"bar": 1, "part": 0, "roles": [], "p": {"melody": 0.9, "rhythm": 0.2}},
        {"bar": 7, "part": 0, "roles": [], "p": {"melody": 0.9}},
        {"bar": 2, "part": 0, "roles": ["rhythm"]},
    ]
    assert accuracy_plot.role_pairs(reference, said) == [(0.9, True, 1), (0.2, False, 1)]


def test_the_picture_has_a_dot_for_each_tenth():
    root = ElementTree.fromstring(accuracy_plot.svg("Roles", [(0.1, 0.2, 5), (0.9, 0.8, 1)]))
    assert len(root.findall("{http://www.w3.org/2000/svg}circle")) == 2


def test_the_worst_movement_is_named():
    scored = {
        "pooled": {"melody": {"mean_set_size": 2.0}},
        "movements": {"one": {"melody": {"top": 0.5}}, "two": {"melody": {"top": 0.4}}},
    }
    assert "  worst melody: two, 0.400" in list(accuracy.details(scored))
