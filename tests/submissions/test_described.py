"""Bars in words: the tutor's side reads the full form, a student never more than the page shows."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from courses.models import AssignmentVersion, User
from courses.stages import new_stage
from submissions.services.papers import release
from tests.cast import Cast, Stage, handed_in, make_stage, publish
from tests.rewrite import rewrite

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


def test_a_student_reads_the_neutral_form_before_release(cast: Cast, stage: Stage) -> None:
    handed_in(stage, cast.student)
    for query in ("first=0&last=3", "bars=1-4", "first=0&last=3&form=full", "first=4&last=6"):
        page = ask(cast.student, stage, query).content.decode()
        assert "Playing:" in page
        assert not [word for word in RELATIONS if word in page], query


def test_after_release_the_full_form_of_the_bars_asked_about_and_of_no_others(
    cast: Cast, stage: Stage
) -> None:
    release(paper=handed_in(stage, cast.student), by=cast.tutor)
    full = ask(cast.student, stage).content.decode()
    assert "Melody: flute, doubled an octave lower by violins 1." in full
    neutral = ask(cast.student, stage, "first=0&last=3&form=neutral").content.decode()
    for page in (neutral, ask(cast.student, stage, "first=0&last=4").content.decode(),
                 ask(cast.fellow, stage).content.decode()):  # fmt: skip
        assert "Playing:" in page
        assert not [word for word in RELATIONS if f"{word}:" in page]


@pytest.mark.parametrize("wish", ["prompt", "kind", "another"])
def test_what_the_tutor_keeps_to_itself_is_not_told_by_a_release(cast: Cast, wish: str) -> None:
    more = {"prompt": {"checked": "flag-only"}} if wish == "prompt" else {}
    stage = make_stage(cast, **more)
    if wish == "kind":
        rewrite(AssignmentVersion.objects.all(), kinds={"doubling": "flag-only"})
    if wish == "another":
        publish(stage.course, stage.version, "Second", prompt={"first_bar": 3, "last_bar": 3})
    release(paper=handed_in(stage, cast.student), by=cast.tutor)
    page = ask(cast.student, stage).content.decode()
    assert not [word for word in RELATIONS if word in page]


@pytest.mark.parametrize("more", [[], ["doublings", "roles"]])
def test_where_the_stage_allows_every_layer_of_it(cast: Cast, more: list[str]) -> None:
    allowed = new_stage("close-reading", layers=["melody", "keys", *more])
    page = ask(cast.student, make_stage(cast, stages=[allowed])).content.decode()
    assert ("Melody: flute" in page) == bool(more)


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
    assert max(n for _, n in counts) <= 31  # a third of them asks what stages allow
