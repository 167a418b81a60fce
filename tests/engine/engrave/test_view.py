"""Views: what they accept, and keys that are equal only for equal pictures."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.engine.engrave.prepare import prepare
from analysis.engine.engrave.view import View
from analysis.engine.errors import EngineError
from analysis.engine.gate import admit
from analysis.engine.model import PartReading
from tests.browser.pieces import serenade

HORN = PartReading("P1", 0, "Corno in Es", "horn", "brass", transposition=-9, diatonic=-5)

views = st.builds(
    View,
    parts=st.lists(st.integers(0, 9), unique=True).map(lambda p: tuple(sorted(p))),
    pitch=st.sampled_from(["written", "sounding"]),
    bars=st.none() | st.tuples(st.integers(0, 9), st.integers(9, 20)),
    layout=st.sampled_from(["pages", "strip"]),
    staff=st.sampled_from([4.5, 6.0]),
)


@given(views, views)
def test_keys_are_equal_for_equal_views_only(one: View, two: View):
    assert (one.key() == two.key()) == (one == two)
    assert View.from_dict(one.as_dict()) == one


@given(views)
def test_a_view_survives_json(view: View):
    import json

    assert View.from_dict(json.loads(json.dumps(view.as_dict()))) == view


def test_readings_matter_for_sounding_pitch_only():
    written, sounding = View(), View(pitch="sounding")
    assert written.key([HORN]) == written.key()
    assert sounding.key([HORN]) != sounding.key()
    assert (
        View(parts=(1,), pitch="sounding").key([HORN]) == View(parts=(1,), pitch="sounding").key()
    )


def test_the_engravers_copy_does_not_depend_on_the_sheet():
    assert View(staff=4).source_key() == View(staff=8, layout="strip").source_key()
    assert View(bars=(1, 2)).source_key() != View().source_key()


@pytest.mark.parametrize(
    "values",
    [
        {"parts": [1, 0]},
        {"parts": [0, 0]},
        {"parts": [-1]},
        {"parts": "x"},
        {"bars": [3, 2]},
        {"bars": [1]},
        {"pitch": "loud"},
        {"layout": "x"},
        {"breaks": "none"},
        {"staff": 1},
        {"staff": "nan"},
        {"width": 10_000},
        {"colour": "red"},
    ],
)
def test_what_does_not_fit_is_refused(values: dict[str, object]):
    with pytest.raises(EngineError):
        View.from_dict(values)


def test_parts_that_rest_in_a_passage_are_left_out() -> None:
    """The flute of the serenade plays in bars 1-4 alone; a view of rests only keeps its parts."""
    canonical = admit(serenade(), "s.musicxml").canonical
    playing = prepare(canonical, View(bars=(0, 3), hide_resting=True))
    later = prepare(canonical, View(bars=(4, 7), hide_resting=True))
    assert [p for _, p in playing.staves] == ["P1", "P2", "P3", "P4", "P5"]
    assert [p for _, p in later.staves] == ["P2", "P3", "P4", "P5"]
    alone = prepare(canonical, View(parts=(0,), bars=(4, 7), hide_resting=True))
    assert [p for _, p in alone.staves] == ["P1"]


def test_views_that_hide_nothing_keep_their_keys() -> None:
    assert "hide_resting" not in View().as_dict()
    assert View(hide_resting=True).key() != View().key()
    assert View(hide_resting=True).source_key() != View().source_key()
    assert View.from_dict(View(hide_resting=True).as_dict()) == View(hide_resting=True)
