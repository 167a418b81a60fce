"""The arithmetic of risk and coverage, the statements made of answers, and one short movement."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from analysis.engine.settings import Settings
from tests.engine.tables import table
from tests.risk.asked import ask
from tests.risk.curve import GRID, Flagged, best, curve, point
from tests.risk.plot import svg
from tests.risk.stated import (
    key_of,
    key_statements,
    keys_by_bar,
    neighbours,
    other_routes,
    passages,
    role_statements,
    route_statements,
    stays,
    word,
)
from tests.risk.told import limits_kept, operating, told


def flagged(true: bool, flag: str, sure: float, kind: str = "role") -> Flagged:
    """A statement whose flag stands as far as its confidence goes."""
    flags = {t: flag if sure >= t else "ear" for t in GRID}
    return Flagged(kind, "melody", true, "m", flags, dict.fromkeys(GRID, sure))


#: four true, eight false: the latter weigh half
MADE = [
    flagged(True, "agrees", 0.85), flagged(True, "agrees", 0.75), flagged(True, "partly", 0.65),
    flagged(True, "conflicts", 0.92), flagged(False, "agrees", 0.45),
    *[flagged(False, "conflicts", 0.97) for _ in range(4)],
    *[flagged(False, "ear", 0.1) for _ in range(3)],
]  # fmt: skip


def test_a_point_weighs_true_and_false_alike():
    p = point(MADE, 0.4, 0.9)
    assert p.decided == pytest.approx(0.5 * 4 / 4 + 0.5 * 5 / 8)
    assert p.agrees == pytest.approx((2 / 4) / (2 / 4 + 1 / 8))
    assert p.plain("agrees", True) == pytest.approx(2 / 3)
    assert p.conflicts == pytest.approx((4 / 8) / (4 / 8 + 1 / 4))
    assert p.plain("conflicts", False) == pytest.approx(4 / 5)


def test_a_threshold_takes_away_what_is_less_sure():
    assert point(MADE, 0.5, 0.9).agrees == 1.0  # the false one is gone
    strict = point(MADE, 0.8, 0.95)
    assert (strict.conflicts, strict.counts[True, "ear"]) == (1.0, 3)
    assert point(MADE, 0.9, 0.98).agrees is None
    shares = [p.decided for p in curve(MADE, 0.9)]
    assert shares == sorted(shares, reverse=True)


def test_the_best_point_decides_most_within_the_limits():
    points = curve(MADE, 0.95)
    found = best(points, 0.9, 0.95, 0.4)
    assert found is not None
    assert found.least == 0.6  # .5 decides as many; .4 more, with a false "agrees" too many
    assert best(points, 0.9, 0.95, 0.9) is None


def test_one_truth_alone_has_no_precision_of_the_other():
    p = point([flagged(True, "agrees", 0.9)], 0.7, 0.9)
    assert (p.decided, p.agrees, p.conflicts) == (0.5, 1.0, None)


# --- statements -------------------------------------------------------------------


def test_passages_are_pieces_of_runs():
    assert list(passages([3, 4, 5, 9, 11, 12])) == [(3, 5), (11, 12)]
    assert list(passages(range(20))) == [(0, 6), (7, 13), (14, 19)]


def test_keys_and_their_neighbours():
    assert key_of("Eb minor") == key_of("D# minor") == (3, "minor")
    assert key_of("B- major") == (10, "major")
    assert neighbours((0, "major")) == {
        "fifth up": (7, "major"), "fifth down": (5, "major"),
        "relative": (9, "minor"), "parallel": (0, "minor"),
    }  # fmt: skip
    assert neighbours((9, "minor"))["relative"] == (0, "major")


def waltz() -> Any:
    return table(
        {
            "Fl": "G5 e A5 B5 C6 D6 C6 B5 A5 | G5 q E5 C5 E5 | G5 q F5 E5 D5 | C5 w",
            "Vla": "E4 w | E4 w | D4 w | E4 w",
            "Tr": "C5 w | r | C5 q r h | r",
            "Cb": "C3 q C3 C3 C3 | C3 h C3 | G2 h G2 | C3 w",
        }
    )


def test_keys_are_stated_where_they_are_annotated():
    made = waltz()
    spans = [[0, 4, "C major"], [8, 15, "C major"], [15, 16, "G major"]]
    assert keys_by_bar(made, spans) == [(0, "major")] * 4  # bar 2 lies between
    found = list(key_statements(made, spans))
    assert [(s.sort, s.true) for s in found] == [
        ("annotated", True), ("fifth up", False), ("fifth down", False), ("relative", False),
        ("parallel", False),
    ]  # fmt: skip
    assert found[3].claim["key"] == "A minor"
    assert (found[0].claim["bars"]["from"]["bar"], found[0].claim["bars"]["to"]["bar"]) == (
        "1",
        "4",
    )


def test_routes_are_stated_over_stays_and_never_by_accident_the_true_one():
    c, g, d = (0, "major"), (7, "major"), (2, "major")
    assert stays([c] * 5 + [g] * 2 + [d] * 4) == [(c, 0, 4), (d, 7, 10)]
    assert set(other_routes([c, g])) == {"reversed", "a fifth off", "a tone off", "a tritone off"}
    assert "reversed" not in other_routes([c, d, c])
    made = table({"Fl": " | ".join(["C5 w"] * 16)})
    found = list(route_statements(made, [[0, 40, "C major"], [40, 64, "D major"]]))
    true = [s for s in found if s.true]
    assert [s.claim["keys"] for s in true] == [["C major", "D major"]]
    assert [true[0].claim["bars"][end]["bar"] for end in ("from", "to")] == ["3", "16"]
    assert {s.sort for s in found} >= {"reversed", "the rest a fourth off"}


def test_roles_are_stated_in_a_word_of_each_class():
    made = waltz()
    cells = [[bar, 0, ["melody"]] for bar in (1, 2, 3)] + [[4, 0, ["harmony"]], [1, 1, ["harmony"]]]
    found = [(s.sort, s.true, s.claim["role"]) for s in role_statements(made, cells)]
    assert found == [
        ("melody", True, "melody"), ("rhythm", False, "pulse"),
        ("harmony", False, "moving harmony"),
    ]  # fmt: skip
    assert word(made, 1, 0, 3, "harmony") == "held harmony"
    assert word(made, 2, 0, 3, "rhythm") == "punctuation"
    assert word(made, 3, 0, 3, "harmony") == "bass line"


# --- words and picture ---------------------------------------------------------------


def test_the_page_and_the_picture_say_where_the_product_stands():
    found = {"role, s3": MADE}
    here = operating(MADE)
    assert here.least == Settings().role_confidence
    text = told(found, seen=False)
    assert "4 true statements, 8 false, 1 movement." in text
    assert f"stands at {here.least:.2f}" in text
    assert ("**kept**" in text) is limits_kept(found)
    assert "**The models have seen" in told(found, seen=True)
    assert "Not asked" not in text
    assert "Not asked this time: a, b." in told(found, seen=False, left=["a", "b"])
    root = ElementTree.fromstring(svg(found))
    titles = [e.text for e in root.iter("{http://www.w3.org/2000/svg}title")]
    assert titles.count("the product") == 2


def test_of_routes_precision_is_asked_for_and_the_share_decided_only_told():
    shy = [flagged(True, "ear", 0.2, "key-route"), flagged(False, "conflicts", 0.95, "key-route")]
    assert limits_kept({"key-route, s3": [*shy, flagged(True, "ear", 0.1, "key-route")]})
    wrong = [flagged(True, "conflicts", 0.95, "key-route"), *shy]
    assert not limits_kept({"key-route, s3": wrong})
    assert "Asked for: 0.95, 0.95: **not kept**" in told({"key-route, s3": wrong}, seen=False)


def test_a_movement_is_asked_at_every_threshold(tmp_path: Path):
    """One movement of the demo piece, with answers made up here: a true key, a tune, a bass."""
    score = Path(__file__).parents[2] / "demo" / "piece" / "movement-1.musicxml"
    known = {
        "keys": [[1, 29, "D major"]],
        "roles": [[bar, part, role] for bar in range(2, 6)
                  for part, role in ((12, ["melody"]), (16, ["harmony"]))],
    }  # fmt: skip
    answers = tmp_path / "answers.json"
    answers.write_text(json.dumps(known), encoding="utf-8")
    found = ask(score, answers, None)
    assert {(one.kind, one.sort) for one in found if one.true} == {
        ("key", "annotated"), ("role", "melody"), ("role", "harmony"),
    }  # fmt: skip
    for one in found:
        assert set(one.flags) == set(GRID)
        assert one.at(0.0, 1.01) != "conflicts"
        assert (one.flags[0.7] == "agrees") <= one.true, one
    decided = [p.decided for p in curve(found, 0.9)]
    assert decided == sorted(decided, reverse=True)
    assert decided[0] > decided[-1]
    tune = next(one for one in found if one.true and one.sort == "melody")
    assert tune.flags[0.5] == "agrees"
