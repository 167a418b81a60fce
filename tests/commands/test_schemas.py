"""The JSON Schemas in the repository are those of the code, and they hold."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings

from analysis.engine import claims, cli, export, places
from analysis.engine.analyses import analyse
from analysis.engine.claims import naming
from analysis.engine.claims.schema import read_claim
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.schemas import NAMES, documents, load
from analysis.engine.settings import Settings
from tests.engine.claims.pieces import doublings, forces, shared, twice_numbered
from tests.engine.claims.test_claims_never_break import near_claims

pytestmark = pytest.mark.slow

DEVICES = Path(__file__).resolve().parents[2] / "demo" / "devices.json"


@pytest.mark.parametrize("name", NAMES)
def test_files_are_up_to_date_and_valid(name):
    document = documents()[name]
    jsonschema.Draft202012Validator.check_schema(document)
    assert load(name) == json.loads(json.dumps(document)), "run python -m analysis.engine.schemas"


def validator(name: str) -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(load(name))


@pytest.mark.parametrize("piece", [doublings, forces, shared])
def test_a_computed_reading_fits(piece):
    table = piece()
    value = export.score_json(table, analyse(table))
    validator("score").validate(json.loads(json.dumps(value)))


def test_answers_fit():
    table = doublings()
    asked = [{"id": "a", "kind": "playing", "bars": ["1"], "parts": ["Fl"], "mode": "play"},
             {"id": 2, "kind": "free", "text": "?"}, 17]  # fmt: skip
    value = cli.answers_json(claims.answers(asked, table, []), "0" * 64, Settings())
    validator("answers").validate(json.loads(json.dumps(value)))
    assert [a["id"] for a in value["answers"]] == ["a", 2, None]


def test_demo_claims_fit():
    rows = json.loads(DEVICES.read_text(encoding="utf-8"))
    asked = [r["claim"] for r in rows["devices"] + rows["decoys"]]
    validator("claims").validate(asked)


@pytest.mark.parametrize("piece", [doublings, forces, shared])
def test_values_of_findings_are_claims(piece):
    """As they stand: nothing is added to them (contract 3, one schema for both)."""
    table = piece()
    for finding in analyse(table):
        value = export.finding_json(table, finding)["value"]
        assert read_claim(value).kind == finding.kind
        validator("claims").validate([value])


def test_places_of_values_are_the_findings_own():
    """Two movements with the same bar numbers, and a label twice in one of them."""
    table = twice_numbered()
    assert len({bar.label for bar in table.bars}) < len(table.bars)
    for finding in analyse(table):
        value = export.finding_json(table, finding)["value"]
        if value.get("mode") == "silence":
            continue  # to the beat
        span = places.resolve(value["bars"], table, value["movement"] - 1)
        assert (span.first, span.last) == (finding.first, finding.last)
        assert span.note == ""


def test_a_pause_within_bars_is_placed_to_the_beat():
    table = forces()  # bar 9: silence for its second half, then the piece is over; bar 7 is silent
    assert naming.pause_json(table, table.bars[7].start, table.bars[7].end) == ["7"]
    start, beat = table.bars[3].start, table.bars[3].beat_ticks
    place = naming.pause_json(table, start + 2 * beat, table.bars[4].start + 3 * beat // 2)
    assert place == {
        "from": {"bar": "3", "nth": 1, "beat": 3},
        "to": {"bar": "4", "nth": 1, "beat": 1},  # half of beat 2 is played
    }


@settings(max_examples=300, deadline=None)
@given(near_claims())
def test_what_the_schema_lets_in_is_understood_as_json(claim):
    """The schema is no stricter than the reader; where it is looser a question comes back."""
    try:
        read_claim(claim)
    except ClaimNotUnderstood:
        return
    known = {k: v for k, v in claim.items()}
    validator("claims").validate([known])
