"""A sentence fills in the form: what comes out of the form is what the sentence says."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from analysis.engine import gate, reader
from analysis.engine.model import ScoreTable
from analysis.engine.prose import propose
from analysis.outline import outline_of
from submissions.kinds import KINDS
from submissions.words import typed_from
from tests.cast import Cast, Stage, paper_of
from tests.engine.prose.sentences import PART_FIELDS, Said, said, units

SAID = (
    "octaves", "levels", "interval", "role", "mode", "key", "keys", "mark", "register", "texture",
    "extreme", "within", "of", "by", "without", "statements", "step", "clef",
)  # fmt: skip
PIECE = Path(__file__).parents[2] / "demo" / "piece" / "movement-1.musicxml"


@pytest.fixture(scope="module")
def table() -> ScoreTable:
    return reader.read(gate.admit(PIECE.read_bytes(), PIECE.name).canonical)


def named(part: Any) -> Any:
    return part["part"] if isinstance(part, dict) else part


@pytest.mark.parametrize(
    "one", [s for s in said("ours.tsv") if s.kind not in ("ask", "none")], ids=lambda s: s.text[:50]
)
def test_a_sentence_passes_through_the_form_of_its_kind(one: Said, table: ScoreTable) -> None:
    claim = propose(one.text, table).claim
    assert claim is not None
    says = typed_from(claim, outline_of(table))
    if claim.get("negated"):
        says["negated"] = "on"
    form = KINDS[claim["kind"]].form({f"k-{k}": v for k, v in says.items()}, table=table)
    assert form.is_valid(), form.errors
    out = form.claim()
    assert bool(out.get("negated")) == bool(claim.get("negated"))
    for name in PART_FIELDS:
        wanted, there = claim.get(name) or [], out.get(name) or []
        there = [named(p) for p in (there if isinstance(there, list) else [there])]
        assert units(there, table) == units(wanted, table), name
    for name in SAID:
        if claim.get(name) not in (None, [], ""):
            assert out.get(name) == claim[name], name
    assert out.get("direction", True) == claim.get("direction", True)


@pytest.mark.django_db
def test_the_page_is_told_what_a_sentence_says(cast: Cast, stage: Stage, client: Client) -> None:
    paper = paper_of(cast.student, stage.assignment)
    where = reverse("api-proposal", args=[paper.public_id])
    client.force_login(cast.student)

    def post(sentence: str) -> Any:
        body = json.dumps({"sentence": sentence})
        return client.post(where, body, content_type="application/json")

    labels = [p["label"] for p in stage.run.copy.outline["parts"]]
    told = post(f"bar 1: {labels[0]} doubles {labels[1]} an octave higher").json()
    assert (told["kind"], told["bars"], told["questions"]) == ("doubling", "1", [])
    assert told["says"]["octaves"] == "1"
    assert "one octave above" in told["said"]
    unknown = post("the trombones rest in bar 1").json()
    assert any("trombone" in question for question in unknown["questions"])
    assert post("").status_code == 400
    assert paper.observations.count() == 0, "a proposal is kept nowhere"


def test_the_other_place_of_a_comparison_is_typed_as_bars() -> None:
    said = typed_from({"kind": "comparison", "bars2": ["41", "48"], "added": ["horns"]}, {})
    assert (said["bars2"], said["added"]) == ("41-48", "horns")
