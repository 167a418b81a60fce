"""Transpositions, open tones, two places compared: common practice, no source."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from analysis.engine import gate, reader
from analysis.engine.model import ScoreTable
from analysis.engine.prose import propose

PIECE = Path(__file__).parents[3] / "demo" / "piece" / "movement-1.musicxml"

SAID: list[tuple[str, dict[str, Any]]] = [
    ("Clarinets in A sound a minor third lower than written",
     {"kind": "layout", "parts": ["clarinets"], "transposition": -3}),
    ("Contrabassi sound an octave lower than written",
     {"kind": "layout", "parts": ["Contrabbasso"], "transposition": -12}),
    ("b. 9: horn 1 in D has A and D4 as open notes",
     {"kind": "open-tones", "crook": "D", "pitches": ["A", "D4"], "bars": ["9"]}),
    ("Trumpets have no open G# in 33-36",
     {"kind": "open-tones", "crook": "D", "missing": ["G#"], "bars": ["33", "36"]}),
    ("Compared with bars 1-8, bars 41-48 add the horns",
     {"kind": "comparison", "bars": ["1", "8"], "bars2": ["41", "48"], "added": ["horns"]}),
    ("Bars 41-48 are like bars 1-8 but without timpani",
     {"kind": "comparison", "bars2": ["41", "48"], "left": ["Timpani in Re-La"]}),
]  # fmt: skip


@pytest.fixture(scope="module")
def table() -> ScoreTable:
    return reader.read(gate.admit(PIECE.read_bytes(), PIECE.name).canonical)


@pytest.mark.parametrize(("text", "fields"), SAID)
def test_what_is_said_of_the_page(text: str, fields: dict[str, Any], table: ScoreTable) -> None:
    proposal = propose(text, table)
    assert proposal.questions == ()
    assert proposal.claim is not None
    assert {name: proposal.claim.get(name) for name in fields} == fields
