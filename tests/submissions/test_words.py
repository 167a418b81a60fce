"""The tutor's word through the kinds' forms: another value, or a fact nobody computed."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from analysis.effective import effective_findings
from analysis.engine.claims import RULED
from analysis.models import Overrule
from submissions.models import Check
from submissions.words import SAYABLE
from tests.cast import OCTAVE, Cast, Stage, handed_in
from tests.submissions.test_checks import _doublings

pytestmark = pytest.mark.django_db


def _where(stage: Stage) -> str:
    return reverse("word-on-reading", args=[stage.score.public_id])


def _finding(stage: Stage) -> dict[str, Any]:
    """The flute an octave above the violins, bars 1-4, as the page holds it."""
    found = next(f for f in _doublings(stage) if set(f["parts"]) == {"P1", "P3"})
    return {
        "kind": "doubling", "movement": 0, "first_bar": found["first"], "last_bar": found["last"],
        "parts": [{"part": p, "player": None} for p in found["parts"]], "value": found["value"],
    }  # fmt: skip


def test_the_kinds_a_finding_can_be_of_have_a_form() -> None:
    assert {kind.name for kind in RULED} <= set(SAYABLE)


def test_another_octave_is_said_in_the_form_filled_from_the_finding(
    cast: Cast, stage: Stage, client: Client, drain_jobs: Any
) -> None:
    paper = handed_in(stage, cast.student, OCTAVE)
    assert Check.objects.get(current=True).flag == "agrees"
    client.force_login(cast.tutor)
    finding = json.dumps(_finding(stage))
    page = client.post(_where(stage), {"finding": finding, "reason": "I hear"}).content.decode()
    assert 'value="Flauto"' in page
    assert '<option value="1" selected>' in page
    assert 'value="I hear"' in page
    typed = {"said": "1", "finding": finding, "bars": "1-4", "k-parts": "Flauto",
             "k-with_": "Violino I", "k-octaves": "2", "k-coverage": "full"}  # fmt: skip
    refused = client.post(_where(stage), {**typed, "reason": " "})
    assert refused.status_code == 422
    assert "Say why" in refused.content.decode()
    assert '<option value="2" selected>' in refused.content.decode(), "nothing typed is lost"
    assert client.post(_where(stage), {**typed, "reason": "Two octaves."}).status_code == 302
    word = Overrule.objects.get()
    assert (word.says, word.state, word.value["octaves"]) == ("other", "decided", 2)
    mine = [f for f in effective_findings(stage.run) if f.kind == "doubling" and f.first == 0]
    said = {f.value.get("octaves") for f in mine if set(f.lines) == {0, 2}}
    assert said == {2}, "the computed octave is gone, the tutor's stands"
    drain_jobs()
    check = Check.objects.get(observation_version__observation__paper=paper, current=True)
    assert check.flag == "partly", "the parts are right, the octave is not"
    assert "Two octaves." in json.dumps(check.sentences)


def test_a_fact_nobody_computed_is_added(
    cast: Cast, stage: Stage, client: Client, drain_jobs: Any
) -> None:
    claim = {"kind": "role", "bars": "5-6", "words": "It answers.",
             "says": {"parts": "Violoncello", "role": "answer"}}  # fmt: skip
    paper = handed_in(stage, cast.student, claim)
    before = Check.objects.get(observation_version__observation__paper=paper, current=True)
    assert before.flag != "agrees"
    client.force_login(cast.tutor)
    assert "What" in client.get(_where(stage), {"bars": "5-6"}).content.decode()
    page = client.get(_where(stage), {"kind": "role", "bars": "5-6"}).content.decode()
    assert 'value="5-6"' in page
    assert "NOT so" not in page, "a denial is another act"
    answer = client.post(
        _where(stage),
        {"said": "1", "kind": "role", "bars": "5-6", "k-parts": "Violoncello",
         "k-role": "answer", "reason": "It answers the violins."},
    )  # fmt: skip
    assert answer.status_code == 302
    word = Overrule.objects.get()
    assert (word.says, word.parts) == ("added", [{"part": "P4", "player": None}])
    assert any(f.kind == "role" and f.value["role"] == "answer" and f.confidence == 1
               for f in effective_findings(stage.run))  # fmt: skip
    drain_jobs()
    check = Check.objects.get(observation_version__observation__paper=paper, current=True)
    assert check.flag == "agrees"


@pytest.mark.parametrize(
    "typed",
    [
        {"k-parts": "Sackbut"},
        {"bars": "90"},
        {"k-parts": ""},
    ],
)
def test_what_is_not_in_the_score_is_refused_and_kept(
    cast: Cast, stage: Stage, client: Client, typed: dict[str, str]
) -> None:
    client.force_login(cast.tutor)
    sent = {"said": "1", "kind": "role", "bars": "5-6", "k-parts": "Violoncello",
            "k-role": "answer", "reason": "Because of the echo.", **typed}  # fmt: skip
    answer = client.post(_where(stage), sent)
    assert answer.status_code == 422
    assert "errorlist" in answer.content.decode()
    assert "Because of the echo." in answer.content.decode()
    assert not Overrule.objects.exists()


@pytest.mark.parametrize("finding", ["{", "[]", '{"kind": "doubling"}'])
def test_no_finding_is_no_page(cast: Cast, stage: Stage, client: Client, finding: str) -> None:
    client.force_login(cast.tutor)
    assert client.post(_where(stage), {"finding": finding}).status_code == 404
