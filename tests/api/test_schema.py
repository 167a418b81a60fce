"""The JSON endpoints keep their OpenAPI schema, whatever is sent to them."""

from __future__ import annotations

import io
import json
from typing import Any

import pytest
import schemathesis
from django.core.management import call_command
from django.core.wsgi import get_wsgi_application
from django.db import transaction
from django.test import Client
from hypothesis import HealthCheck, given, seed, settings
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from courses.models import User
from submissions.models import Paper
from tests.cast import OCTAVE, Cast, Stage, paper_of, state

pytestmark = pytest.mark.slow

CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]
OPERATIONS = [
    ("GET", "/api/papers/{paper_id}/statements/"),
    ("PUT", "/api/papers/{paper_id}/statements/{client_key}/"),
    ("DELETE", "/api/papers/{paper_id}/statements/{client_key}/"),
    ("GET", "/api/papers/{paper_id}/statements/{client_key}/versions/"),
    ("POST", "/api/papers/{paper_id}/proposal/"),
    ("POST", "/api/papers/{paper_id}/stages/{stage}/"),
    ("POST", "/api/papers/{paper_id}/first-answers/{prompt_key}/"),
    ("PATCH", "/api/papers/{paper_id}/survey/"),
    ("POST", "/api/papers/{paper_id}/hand-in/"),
]
NOBODYS = "00000000-0000-4000-8000-000000000000"
TOKEN = "t" * 32


def test_the_schema_is_made_without_a_warning() -> None:
    call_command("spectacular", "--validate", "--fail-on-warn", stdout=io.StringIO())


def test_every_operation_is_tried_below() -> None:
    schema = json.loads(_schema_text())
    named = {
        (method.upper(), path)
        for path, operations in schema["paths"].items()
        for method in operations
    }
    assert named == set(OPERATIONS)


def _schema_text() -> str:
    out = io.StringIO()
    call_command("spectacular", "--format", "openapi-json", stdout=out)
    return out.getvalue()


def _signed_in(user: User) -> dict[str, Any]:
    client = Client()
    client.force_login(user)
    session = client.cookies["sessionid"].value
    return {"cookies": {"sessionid": session, "csrftoken": TOKEN},
            "headers": {"X-CSRFToken": TOKEN}}  # fmt: skip


@pytest.mark.django_db
@pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE],
                         ids=["as the schema says", "against it"])  # fmt: skip
@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda o: " ".join(o))
def test_whatever_a_student_sends_is_answered_as_the_schema_says(
    cast: Cast, stage: Stage, operation: tuple[str, str], mode: GenerationMode
) -> None:
    paper = paper_of(cast.student, stage.assignment)
    state(paper, stage.run, OCTAVE, key="known")
    schema = schemathesis.openapi.from_dict(json.loads(_schema_text()))
    schema.app = get_wsgi_application()
    method, path = operation
    who = _signed_in(cast.student)

    answered: list[int] = []

    @seed(20260105)
    @settings(max_examples=60, deadline=None, database=None,
              suppress_health_check=list(HealthCheck))  # fmt: skip
    @given(case=schema[path][method].as_strategy(generation_mode=mode))
    def send(case: Any) -> None:
        own = len(repr(case.body)) % 4 != 0
        case.path_parameters["paper_id"] = str(paper.public_id) if own else NOBODYS
        with transaction.atomic():
            answer = case.call_and_validate(checks=CHECKS, **who)
            answered.append(answer.status_code)
            transaction.set_rollback(True)

    send()
    assert set(answered) != {403}, "the student was not known"
    assert Paper.objects.count() == 1


@pytest.mark.django_db
@pytest.mark.parametrize(
    "wrong",
    [
        {"says": {"parts": "\x00"}},
        {"says": {"parts": "\ud800"}},
        {"says": {"\x00": "a"}},
        {"says": {"parts": ["a"], "octaves": {"a": 1}}},
        {"says": {f"f{n}": "x" for n in range(1000)}},
        {"says": {"parts": "x" * 100_000}},
        {"says": "parts"},
        {"words": "\x00"},
        {"kind": "\x00"},
        {"kind": "no-such-kind"},
        {"bars": "²-³"},
        {"bars": "9" * 50},
        {"bars": "1/" + "9" * 40},
        {"prompt": "no id"},
        {"sense": "smelt"},
    ],
    ids=repr,
)
def test_odd_words_are_answered(cast: Cast, stage: Stage, wrong: dict[str, Any]) -> None:
    paper = paper_of(cast.student, stage.assignment)
    client = Client()
    client.force_login(cast.student)
    for key in ("k", "k" * 300, "%00", "☃"):
        answer = client.put(
            f"/api/papers/{paper.public_id}/statements/{key}/",
            json.dumps({**OCTAVE, **wrong}), content_type="application/json",
            headers={"If-Match": "²"},
        )  # fmt: skip
        assert answer.status_code in {200, 400, 404, 409}, answer.content
        assert "\x00" not in answer.content.decode()


@pytest.mark.django_db
def test_unknown_fields_change_nothing(cast: Cast, stage: Stage) -> None:
    """Reliability S3: what a student may not set is not set."""
    paper = paper_of(cast.student, stage.assignment)
    client = Client()
    client.force_login(cast.student)
    answer = client.put(
        f"/api/papers/{paper.public_id}/statements/k/",
        json.dumps({**OCTAVE, "state": "handed-in", "student": cast.fellow.pk, "number": 9}),
        content_type="application/json",
    )
    assert answer.status_code == 400
    assert not paper.observations.exists()
