"""The short score of some bars: made by the worker, the tutor's alone, and true to its sources."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from lxml import etree

from analysis.models import Engraving
from analysis.services import overrules
from courses.models import User
from tests.cast import Cast, Stage

pytestmark = pytest.mark.django_db
Drain = Callable[[], int]


def signed(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client


def address(stage: Stage, query: str = "first=0&last=3") -> str:
    return reverse("short-score", args=[stage.score.public_id]) + f"?{query}"


def made(cast: Cast, stage: Stage, drain: Drain, query: str = "first=0&last=3") -> dict[str, Any]:
    client = signed(cast.tutor)
    waiting = client.get(address(stage, query)).json()
    assert waiting["pages"] is None
    assert drain() == 1
    state: dict[str, Any] = client.get(address(stage, query)).json()
    assert state["ready"] == state["pages"]
    return state


def page(cast: Cast, stage: Stage, key: str, user: User | None = None) -> Any:
    args = [stage.score.public_id, key, 1]
    return signed(user or cast.tutor).get(reverse("short-score-page", args=args))


def test_it_is_made_once_and_says_who_plays_what(
    cast: Cast, stage: Stage, drain_jobs: Drain
) -> None:
    state = made(cast, stage, drain_jobs)
    assert state["pages"] == 1
    assert state["said"][0].startswith("Melody: flute; left out, since they go with it: violins 1")
    assert drain_jobs() == 0
    assert signed(cast.tutor).get(address(stage)).json() == state


def test_its_notes_point_to_notes_of_the_score(cast: Cast, stage: Stage, drain_jobs: Drain) -> None:
    """The serenade's bars 5-8 (index 4 to 7): the ids name those bars, whatever the page counts."""
    state = made(cast, stage, drain_jobs, "first=4&last=7")
    svg = etree.fromstring(page(cast, stage, state["key"]).content)
    notes = [e.get("data-from").split() for e in svg.iter() if e.get("data-from")]
    assert len(notes) > 10
    bars = {int(id_.split("-")[1]) for ids in notes for id_ in ids}
    assert bars == {4, 5, 6, 7}
    assert {e.get("data-bar") for e in svg.iter() if e.get("data-bar")} == {"4", "5", "6", "7"}
    assert all(e.get("data-id") == e.get("data-from").split()[0]
               for e in svg.iter() if e.get("data-from"))  # fmt: skip


def test_nobody_but_the_tutor_gets_it_by_any_address(
    cast: Cast, stage: Stage, drain_jobs: Drain
) -> None:
    """The door to engraved pages, which students share, does not open it either."""
    key = made(cast, stage, drain_jobs)["key"]
    assert page(cast, stage, key).status_code == 200
    common = reverse("score-page", args=[stage.version.public_id, key, 1])
    for user in (cast.student, cast.assistant, cast.stranger, cast.other_tutor):
        assert signed(user).get(address(stage)).status_code == 404
        assert page(cast, stage, key, user).status_code == 404
        assert signed(user).get(common).status_code == 404


def test_no_other_page_is_served_at_its_address(cast: Cast, stage: Stage) -> None:
    Engraving.objects.create(copy=stage.run.copy, view_key="x" * 20, page=1, view={})
    assert page(cast, stage, "x" * 20).status_code == 404


def test_the_tutors_word_makes_it_anew(cast: Cast, stage: Stage, drain_jobs: Drain) -> None:
    """Said to have the melody, the violins have the upper staff."""
    before = made(cast, stage, drain_jobs)
    violins = stage.run.copy.outline["parts"][2]["id"]
    overrules.overrule(
        version=stage.version, by=cast.tutor, kind="role", movement=0, first_bar=0, last_bar=3,
        parts=[{"part": violins, "player": None}], says="added", overruled=None,
        value={"kind": "role", "parts": [violins], "role": "melody"}, reason="They lead.",
    )  # fmt: skip
    drain_jobs()
    client = signed(cast.tutor)
    client.get(address(stage))
    drain_jobs()
    after = client.get(address(stage)).json()
    assert after["key"] != before["key"]
    assert after["said"][0].startswith("Melody: violins 1; left out, since they go with it: flute")


@pytest.mark.parametrize(
    ("query", "sentence"),
    [("first=0&last=99", "not in the score"), ("first=3&last=1", "not in the score")],
)
def test_bars_that_are_not_there_get_a_sentence(
    cast: Cast, stage: Stage, query: str, sentence: str
) -> None:
    answer = signed(cast.tutor).get(address(stage, query))
    assert answer.status_code == 400
    assert sentence in json.loads(answer.content)["detail"]


def test_the_number_of_queries_does_not_grow_with_the_bars(
    cast: Cast, stage: Stage, drain_jobs: Drain
) -> None:
    counts = set()
    for query in ("first=0&last=0", "first=0&last=7"):
        made(cast, stage, drain_jobs, query)
        with CaptureQueriesContext(connection) as seen:
            signed(cast.tutor).get(address(stage, query))
        counts.add(len(seen))
    assert len(counts) == 1


def test_the_page_of_the_score_has_it_and_the_students_has_not(cast: Cast, stage: Stage) -> None:
    score = reverse("score", args=[stage.score.public_id])
    assert "not by the composer" in signed(cast.tutor).get(score).content.decode()
    reading = reverse("read-score", args=[stage.course.public_id, stage.score.public_id])
    theirs = signed(cast.student).get(reading).content.decode()
    assert "short-score" not in theirs
    assert "The bars in words" in theirs
