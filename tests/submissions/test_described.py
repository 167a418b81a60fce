"""Bars in words: the tutor's side reads the full form, a student never more than the page shows."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from courses.models import User
from submissions.services.papers import release
from tests.cast import Cast, Stage, handed_in

pytestmark = pytest.mark.django_db

#: Words of the full form that the neutral one must not have.
RELATIONS = ("major", "minor", "key not", "Melody", "Bass", "doubled", "octave", "unison",
             "Held harmony", "Pulse", "Figuration", "melody")  # fmt: skip


def ask(user: User, stage: Stage, query: str = "first=0&last=3", **more: Any) -> Any:
    client = Client()
    client.force_login(user)
    url = reverse("described", args=[stage.version.public_id])
    return client.get(f"{url}?{query}", headers={"HX-Request": "true", **more})


def test_the_tutor_and_the_assistant_read_the_full_form(cast: Cast, stage: Stage) -> None:
    for user in (cast.tutor, cast.assistant):
        page = ask(user, stage).content.decode()
        assert "Melody: flute, doubled an octave lower by violins 1." in page


def test_a_student_reads_the_neutral_form_before_and_after_release(
    cast: Cast, stage: Stage
) -> None:
    paper = handed_in(stage, cast.student)
    for _ in range(2):
        for query in ("first=0&last=3", "bars=1-4", "first=0&last=3&form=full", "first=4&last=6"):
            page = ask(cast.student, stage, query).content.decode()
            assert "Playing:" in page
            assert not [word for word in RELATIONS if word in page], query
        release(paper=paper, by=cast.tutor)


def test_the_tutor_can_look_at_what_students_read(cast: Cast, stage: Stage) -> None:
    seen = ask(cast.tutor, stage, "first=0&last=3&form=neutral").content.decode()
    theirs = ask(cast.student, stage).content.decode()
    assert not [word for word in RELATIONS if f"{word}:" in seen]
    said = theirs[theirs.index('<p class="described">') : theirs.index("</details>")]
    assert said in seen


def test_the_table_is_one_a_screen_reader_can_read(cast: Cast, stage: Stage) -> None:
    page = ask(cast.tutor, stage).content.decode()
    assert page.count('scope="col"') == 1 + 4 + 2  # part, bars, lowest and highest
    assert page.count('scope="row"') == len(stage.run.copy.outline["parts"])
    assert "<caption" in page
    assert "an octave below flute" in page
    assert "rests" in page


def test_an_address_of_its_own_is_a_whole_page(cast: Cast, stage: Stage) -> None:
    client = Client()
    client.force_login(cast.student)
    url = reverse("described", args=[stage.version.public_id])
    page = client.get(f"{url}?bars=1-4").content.decode()
    assert "<h1>" in page
    assert "Playing:" in page
    assert 'value="1-4"' in page
    assert "Write bars such as" in client.get(url).content.decode()


@pytest.mark.parametrize(
    ("query", "sentence"),
    [("bars=99", "There is no bar 99"), ("bars=???", "Write bars such as"),
     ("first=0&last=9999", "not in the score"), ("first=x", "Write bars such as")],
)  # fmt: skip
def test_bars_that_are_not_there_get_a_sentence(
    cast: Cast, stage: Stage, query: str, sentence: str
) -> None:
    assert sentence in ask(cast.student, stage, query).content.decode()
    client = Client()
    client.force_login(cast.student)
    url = reverse("described", args=[stage.version.public_id])
    assert client.get(f"{url}?{query}").status_code == 422


def test_it_is_not_kept_by_any_cache(cast: Cast, stage: Stage) -> None:
    answer = ask(cast.tutor, stage)
    assert "no-store" in answer["Cache-Control"]
    assert "HX-Request" in answer["Vary"]


def test_the_number_of_queries_does_not_grow_with_the_bars(cast: Cast, stage: Stage) -> None:
    counts = set()
    for user in (cast.tutor, cast.student):
        ask(user, stage)
        for query in ("first=0&last=0", "first=0&last=7"):
            with CaptureQueriesContext(connection) as seen:
                ask(user, stage, query)
            counts.add((user.pk, len(seen)))
    assert len(counts) == 2
    assert max(n for _, n in counts) <= 21  # one of them asks what a stage holds back
