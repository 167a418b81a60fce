"""The growth figures: made scores are what they say, slopes are slopes, and growth stays small.

The figures themselves come from ``make growth``; here small sizes guard against a step that is
quadratic in bars or worse in parts, by the processor's time and with room for its scatter.
"""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from analysis.engine.gate import admit
from analysis.engine.reader import read
from tests.bench import growth
from tests.bench.growth_plot import svg
from tests.bench.growth_score import score

ROWS = [
    {"bars": n, "parts": n, "notes": n, "findings": n, "read": 0.1 * n, "analyse": 0.2 * n,
     "by": {"doubling": 0.1 * n, "key": 0.1}}
    for n in (1, 2, 4)
]  # fmt: skip


def test_a_made_score_has_its_bars_and_parts_and_is_the_same_each_time():
    data = score(bars=10, parts=13)
    assert data == score(bars=10, parts=13) != score(bars=10, parts=13, seed=2)
    table = read(admit(data, "growth.musicxml").canonical)
    assert (len(table.bars), table.part_count) == (10, 13)
    assert all(b.length == 4 * 10_080 for b in table.bars)
    assert [p.label for p in table.first_readings][-1] == "Flauto 2"
    assert not table.warnings


@pytest.mark.parametrize(("power", "factor"), [(1, 3), (2, 0.5), (1.5, 7)])
def test_the_exponent_of_a_power_is_its_power(power, factor):
    points = [(x, factor * x**power) for x in (1, 3, 10, 40)]
    assert growth.exponent(points) == pytest.approx(power)


def test_the_steepest_analysis_is_named_first():
    assert growth.steepest(ROWS, "bars")[0][:2] == ("doubling", pytest.approx(1.0))


def test_told_as_tables_and_as_a_picture():
    curves, powers = {"bars": ROWS, "parts": ROWS}, {"bars": 1.0, "parts": 2.5}
    text = "\n".join(growth.told(curves, powers, {**ROWS[0], "name": "x"}))
    assert "exponent 1.00 (within 1.1)" in text
    assert "exponent 2.50 (ABOVE 2.0)" in text
    assert "| doubling | 33.3% |" in text
    root = ElementTree.fromstring(svg(curves, powers))
    assert len(root.findall("{http://www.w3.org/2000/svg}circle")) == 6


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "sizes", "most"),
    [("bars", [(60, 12), (120, 12), (240, 12), (480, 12)], 1.4),
     ("parts", [(40, 12), (40, 24), (40, 48)], 2.2)],
)  # fmt: skip
def test_time_grows_as_it_should(name, sizes, most):
    rows = [growth._child(list(size)) for size in sizes]
    slope = growth.exponent([(r[name], r["read"] + r["analyse"]) for r in rows])
    assert slope < most, [(r[name], round(r["read"] + r["analyse"], 2)) for r in rows]
