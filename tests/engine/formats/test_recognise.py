"""What a file is, told by its bytes."""

from __future__ import annotations

import pytest

from analysis.engine.errors import Refused
from analysis.engine.formats import recognise
from analysis.engine.gate import admit, sandbox
from tests.engine.formats.small import kern, mei, midi
from tests.engine.gate.small import mxl, score
from tests.engine.gate.test_refusals import lint


@pytest.mark.parametrize(
    ("data", "kind"),
    [
        (score(), "musicxml"),
        (b'<?xml version="1.0"?>\n<!-- <mei> -->' + score(), "musicxml"),
        (mxl(score()), "mxl"),
        (mei(), "mei"),
        (b"\xef\xbb\xbf" + mei(), "mei"),
        (mei().decode().encode("utf-16"), "mei"),
        ((b'<?xml version="1.0"?><?xml-model href="x"?><!-- c --><!DOCTYPE mei [<!ENTITY a "b">]>'
         b"<m:mei/>"), "mei"),
        (kern(), "kern"),
        (b"!!!OTL: Title\n\n" + kern(), "kern"),
        (b"!! a comment only", "kern"),
        (midi([]), "midi"),
        (b"", "musicxml"),
        (b"hello", "musicxml"),
        (b"<meiosis/>", "musicxml"),
    ],
)  # fmt: skip
def test_the_content_decides(data: bytes, kind: str):
    assert recognise(data) == kind


@pytest.mark.parametrize("data", [mei(), kern(), midi([(0, 480, 60)])])
@pytest.mark.parametrize("name", ["a.mei", "a.krn", "a.mid", "a.musicxml"])
def test_a_wrong_ending_is_read_by_content_and_told(data: bytes, name: str):
    told = [n.code for n in admit(data, name).notices]
    right = {"mei": "a.mei", "kern": "a.krn", "midi": "a.mid"}[recognise(data)] == name
    assert ("name" in told) is not right


@pytest.mark.parametrize("name", ["a.mei", "a.krn", "a.mid"])
@pytest.mark.parametrize("data", [b"", b"hello", bytes(range(1, 256)), b"<html/>", b"MThd", b"**"])
def test_nothing_that_is_a_score_is_refused_with_a_sentence(data: bytes, name: str):
    with pytest.raises(Refused) as caught:
        admit(data, name)
    lint(caught.value)


@pytest.mark.parametrize(
    ("data", "name"), [(mei(), "a.mei"), (kern(), "a.krn"), (midi([(0, 480, 61)]), "a.mid")]
)
def test_the_engine_process_answers_as_the_gate(data: bytes, name: str):
    assert sandbox.admit_in_child(data, name) == admit(data, name)


@pytest.mark.parametrize(
    ("data", "name"), [(mei(), "a.mei"), (kern(), "a.krn"), (midi([(0, 480, 61)]), "a.mid")]
)
def test_the_copy_is_one_that_the_gate_leaves_as_it_is(data: bytes, name: str):
    copy = admit(data, name).canonical
    assert admit(copy, "again.musicxml").canonical == copy


def test_refusals_cross_the_border_of_the_process():
    with pytest.raises(Refused) as caught:
        sandbox.admit_in_child(kern("0%0c"), "a.krn")
    assert caught.value.where == "line 7"
