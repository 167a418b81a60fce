"""The tutor's words against the reading, as the score page lists them."""

from __future__ import annotations

import json

import pytest
from django.test import Client
from django.urls import reverse

from analysis import storage
from analysis.engine import sentences
from analysis.models import Overrule
from analysis.services import overrules
from tests.cast import Cast, Stage, note

pytestmark = pytest.mark.django_db


def test_an_overruled_finding_is_told_by_its_sentence(
    cast: Cast, stage: Stage, client: Client
) -> None:
    finding = next(f for f in storage.computed_findings(stage.run) if f.kind == "doubling")
    overrules.overrule(
        version=stage.version, by=cast.tutor, kind=finding.kind, movement=0,
        first_bar=finding.first, last_bar=finding.last, parts=[], says=Overrule.Says.ABSENT,
        overruled=json.loads(json.dumps(dict(finding.value))), reason="By chance.",
    )  # fmt: skip
    client.force_login(cast.tutor)
    page = client.get(reverse("score", args=[stage.score.public_id])).context["overrules"]
    assert [row["about"] for row in page] == [sentences.render(finding.sentence)]


def test_a_word_without_a_finding_names_its_parts(cast: Cast, stage: Stage, client: Client) -> None:
    flute = stage.run.copy.outline["parts"][0]
    overrules.overrule(
        version=stage.version, by=cast.tutor, kind="doubling", movement=0, first_bar=0,
        last_bar=1, parts=[{"part": flute["id"], "player": None}], says=Overrule.Says.ADDED,
        value={"kind": "doubling", "parts": [{"part": flute["id"]}], "coverage": "none"},
        reason="Nobody.",
    )  # fmt: skip
    client.force_login(cast.tutor)
    page = client.get(reverse("score", args=[stage.score.public_id])).context["overrules"]
    assert [row["about"] for row in page] == ["doublings (Flauto)"]


def test_an_address_of_the_tutors_word_leads_back_to_the_score(
    cast: Cast, stage: Stage, client: Client
) -> None:
    written = note(stage)
    word = overrules.overrule(
        version=stage.version, by=cast.tutor, kind="playing", movement=0, first_bar=0,
        last_bar=0, parts=[], says=Overrule.Says.ABSENT, overruled={}, reason="A cue.",
    )  # fmt: skip
    client.force_login(cast.tutor)
    score = reverse("score", args=[stage.score.public_id])
    places = [
        ("write-note", stage.score),
        ("place-note", written),
        ("delete-note", written),
        ("overrule", stage.score),
        ("withdraw-overrule", word),
        ("place-overrule", word),
    ]
    for route, thing in places:
        answer = client.get(reverse(route, args=[thing.public_id]))
        assert (answer.status_code, answer["Location"]) == (302, score), route
    written.refresh_from_db()
    word.refresh_from_db()
    assert word.state == Overrule.State.DECIDED
