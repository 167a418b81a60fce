"""The tutor's word on the kinds that do not go bar by bar (contract 3, last but one paragraph).

An overruled finding replaces the computed fact where it covers kind and bars, with confidence 1.
"""

from __future__ import annotations

from typing import Any

import pytest

from analysis.engine.claims import Overruling

from .asking import ask
from .cases.chord import chords
from .cases.comparison import theme
from .cases.key_route import long, there_and_back
from .cases.marking import adagio
from .cases.parallel import duets
from .cases.pedal import held
from .cases.share import eight
from .cases.texture import chorale


def _word(kind: str, first: int, last: int, lines: tuple[int, ...], **value: Any) -> Overruling:
    stored = {"kind": kind, "parts": [], **value}
    return Overruling(kind, first, last, lines, "other", stored, None, "I hear it so")


WORDS = [
    ("chord", chords, ["1"], (), {"root": "A", "quality": "minor"},
     _word("chord", 0, 0, (), root="A", quality="minor")),
    ("share", eight, ["1", "8"], (), {"of": "notes", "predominant": "strings"},
     _word("share", 0, 7, (), of="notes", predominant="strings")),
    ("comparison", theme, ["1", "4"], (), {"bars2": ["5", "8"], "added": ["Ob"]},
     _word("comparison", 0, 3, (), bars2=["5", "8"], added=["Ob"], left=[])),
    ("key-route", long, ["1", "32"], (), {"keys": ["f major", "d minor"]},
     _word("key-route", 0, 31, (), keys=["f major", "d minor"])),
    ("parallel", duets, ["1", "4"], ["Ob"], {"with": ["Vl I"], "interval": "sixth"},
     _word("parallel", 0, 3, (1, 5), interval="sixth")),
    ("pedal", held, ["1", "4"], ["Fg"], {"pitch": "C"}, _word("pedal", 0, 3, (3,), pitch="C")),
    ("marking", adagio, ["1", "2"], ["Cb"], {"mark": "arco"},
     _word("marking", 0, 1, (8,), mark="arco")),
    ("texture", chorale, ["1", "4"], (), {"texture": "single-line"},
     _word("texture", 0, 3, (), texture="single-line")),
]  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "piece", "bars", "parts", "fields", "word"), WORDS, ids=[w[0] for w in WORDS]
)
def test_the_tutors_fact_stands(
    kind: str, piece: Any, bars: Any, parts: Any, fields: dict[str, Any], word: Overruling
) -> None:
    made = piece()
    found = there_and_back(made) if kind == "key-route" else ()
    before = ask(made, kind, bars, parts, findings=found, **fields)
    assert before["flag"] != "agrees"
    after = ask(made, kind, bars, parts, findings=found, overrules=[word], **fields)
    assert after["flag"] == "agrees", after
    assert after["confidence"] == 1


def test_an_absent_chord_is_denied() -> None:
    value = {"kind": "chord", "root": "C", "quality": "major"}
    word = Overruling("chord", 0, 0, (), "absent", None, value, "a passing sixth")
    said = ask(chords(), "chord", ["1"], overrules=[word], root="C", quality="major")
    assert said["flag"] == "conflicts"
    assert "a passing sixth" in said["sentence"]
