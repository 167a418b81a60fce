"""Places: contract 1 (PLACE, POINT), trade-facts 7.4 and 12.35."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.engine import places
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import TICKS
from tests.engine.reader.reading import DATA, table


def span(name: str, place: object, movement: int = 0) -> tuple[int, int]:
    found = places.resolve(place, table(name), movement)
    return found.first, found.last


def test_labels():
    assert span("pickup", ["3"]) == (3, 3)
    assert span("pickup", ["0", "8"]) == (0, 8)
    assert span("pickup", [3, 5]) == (3, 5)
    found = places.resolve(["3", "5"], table("pickup"))
    assert (found.start, found.end, found.note) == (9 * TICKS, 21 * TICKS, "")


@pytest.mark.parametrize("text", ["b. 3", "bar 3", "Bars 3", " 3 ", "m. 3", "003", "Takt 3"])
def test_labels_as_people_type_them(text: str):
    assert span("pickup", [text]) == (3, 3)


def test_a_range_in_one_word():
    assert span("pickup", ["3-5"]) == span("pickup", ["3–5"]) == (3, 5)
    with pytest.raises(ClaimNotUnderstood, match="no bar 9"):
        span("pickup", ["3-9"])


def test_labels_with_letters():
    assert span("split-bar", ["3a"]) == span("split-bar", ["3A"]) == (4, 4)


def test_a_divided_bar_is_one_bar_unless_its_half_is_named():
    assert span("split-bar", ["2"]) == (1, 2)
    assert span("split-bar", ["1", "2"]) == (0, 2)
    half = {"bar": "2", "nth": 2}
    assert span("split-bar", {"from": half, "to": half}) == (2, 2)


def test_beats_of_a_divided_bar_go_on_in_its_second_half():
    t = table("split-bar")
    found = places.resolve_point({"bar": "2", "beat": 3}, t)
    assert (found.first, found.start) == (2, t.bars[2].start)


def test_an_equal_label_is_told():
    found = places.resolve(["3"], table("split-bar"))
    assert (found.first, found.last) == (3, 3)
    assert found.note == "2 bars are called 3 here; the first one was taken."
    assert span("split-bar", {"from": {"bar": "3", "nth": 2}, "to": {"bar": "3", "nth": 2}}) == (
        5,
        5,
    )
    # the end is looked for from the start on
    assert span("trio", {"from": {"bar": "1", "nth": 2}, "to": {"bar": "2"}}) == (2, 3)


def test_beats_count_in_the_printed_denominator():
    t = table("pickup")
    found = places.resolve({"from": {"bar": "2", "beat": 3}, "to": {"bar": "3", "beat": 1}}, t)
    assert (found.start, found.end) == (7 * TICKS, 10 * TICKS)
    half = places.resolve_point({"bar": "2", "beat": 2.5}, t)
    assert (half.start, half.end) == (13 * TICKS // 2, 7 * TICKS)
    eighths = places.resolve_point({"bar": "2", "beat": 4}, table("senza-misura"))
    assert eighths.start == 7 * TICKS + 3 * TICKS // 2  # 3+2 over 8


def test_an_upbeat_crotchet_in_four_four_is_beat_four():
    """Contract 1: a short first bar counts back from its end."""
    t = table("pickup")
    assert places.resolve_point({"bar": "0", "beat": 4}, t).start == 0
    assert places.beat_at(t, 0, 0) == 4
    assert places.point_of(t, 0) == {"bar": "0", "beat": 4}
    with pytest.raises(ClaimNotUnderstood, match="Bar 0 has no beat 1; it has the beats 4 to 4"):
        places.resolve_point({"bar": "0", "beat": 1}, t)


def test_passes_and_endings():
    t = table("repeat-endings")
    one = {"bar": "1", "pass": 2}
    assert places.resolve({"from": one, "to": one}, t).passes == (2, 2)
    with pytest.raises(ClaimNotUnderstood, match="Bar 4 is played once only"):
        places.resolve_point({"bar": "4", "pass": 2}, t)
    with pytest.raises(ClaimNotUnderstood, match="Bar 3 has no pass 1; it is played in pass 2"):
        places.resolve_point({"bar": "3", "pass": 1}, t)


def test_movements():
    assert span("two-movements", ["1", "2"]) == (0, 1)
    assert span("two-movements", ["1", "2"], 1) == (2, 3)
    both = {"from": {"bar": "1"}, "to": {"bar": "2"}, "movement": 2}
    assert span("two-movements", both) == (2, 3)
    with pytest.raises(ClaimNotUnderstood, match="no movement 3; this score has 2 movements"):
        span("two-movements", ["1"], 2)


def test_unknown_labels_list_what_there_is():
    with pytest.raises(ClaimNotUnderstood) as caught:
        span("split-bar", ["99"])
    assert str(caught.value) == "There is no bar 99. This score has bars 1 to 3, and 3a."
    with pytest.raises(ClaimNotUnderstood, match="This score has bars 0 to 8"):
        span("pickup", ["9"])
    with pytest.raises(ClaimNotUnderstood, match="This movement has bars 1 to 2"):
        span("two-movements", ["3"])
    with pytest.raises(ClaimNotUnderstood, match="The rehearsal mark B stands at bar 2"):
        span("marks", ["B"])


@pytest.mark.parametrize(
    ("place", "says"),
    [
        (["5", "3"], "Bar 3 comes before bar 5"),
        ([], "A place is written like"),
        ({"from": {"bar": "1"}}, "A place is written like"),
        ({"from": {"nth": 1}, "to": {"bar": "1"}}, "is written like"),
        ({"from": {"bar": "1", "beat": "x"}, "to": {"bar": "1"}}, "numbers, counted from 1"),
        ({"from": {"bar": "1", "nth": 3}, "to": {"bar": "1"}}, "only one bar “1”"),
        ({"from": {"bar": "1", "beat": 9}, "to": {"bar": "1"}}, "has the beats 1 to 4"),
        ({"from": {"bar": "1", "beat": 3}, "to": {"bar": "1", "beat": 1}}, "ends before it begins"),
        (None, "A place is written like"),
    ],
)
def test_places_that_are_none(place: object, says: str):
    with pytest.raises(ClaimNotUnderstood, match=says):
        places.resolve(place, table("pickup"))


def test_words_for_sentences():
    t = table("pickup")
    assert places.words(t, 3, 3) == "bar 3"
    assert places.words(t, 0, 8) == "bars 0–8"
    assert places.words(table("split-bar"), 1, 2) == "bar 2"
    assert places.label(table("split-bar"), 5) == "3 (2nd)"
    assert places.label(table("split-bar"), 3) == "3 (1st)"


@given(st.data())
def test_there_and_back(data: st.DataObject):
    """Labels of a span give the same span."""
    names = sorted(p.stem for p in DATA.glob("*.musicxml"))
    t = table(data.draw(st.sampled_from(names)))
    movement = data.draw(st.sampled_from(t.movements))
    inside = st.integers(movement.first_bar, movement.last_bar)
    first, last = sorted((data.draw(inside), data.draw(inside)))
    found = places.resolve(places.place_of(t, first, last), t, movement.index)
    assert (found.first, found.last, found.note) == (first, last, "")


@given(st.data())
def test_moments_there_and_back(data: st.DataObject):
    t = table(data.draw(st.sampled_from(["pickup", "split-bar", "senza-misura", "marks"])))
    bar = data.draw(st.sampled_from([b for b in t.bars if b.length]))
    tick = bar.start + data.draw(st.integers(0, bar.length // 2520 - 1)) * 2520
    point = places.point_of(t, tick)
    assert Fraction(point["beat"]) == places.beat_at(t, bar.index, tick)
    assert places.resolve_point(point, t, bar.movement).start == tick
