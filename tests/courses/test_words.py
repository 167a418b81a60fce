"""Words of the trade: explained where they are met, all on one page, instruments in four
languages; the keys of a page told on it."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.db import connection
from django.template import Context, Template
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from courses.glossary import WORDS
from submissions.kinds import KINDS
from submissions.kinds.role import ROLES
from submissions.kinds.words import WORDS_OF, words_of
from tests.cast import Cast, Stage, handed_in
from tests.submissions.test_stages import USUAL, staged

#: Words that the site does not say (the project's list of the trade's words).
AVOIDED = re.compile(r"\b(user|item|task id|error)s?\b", re.I)


def client_of(user: Any) -> Client:
    client = Client()
    client.force_login(user)
    return client


def test_every_kind_has_its_words_and_every_word_is_a_sentence() -> None:
    assert set(WORDS_OF) == set(KINDS)
    assert [key for kind in KINDS for key, _word in words_of(kind) if key not in WORDS] == []
    for key, word in WORDS.items():
        assert str(word.term), key
        assert str(word.text).endswith("."), key
        assert not AVOIDED.search(f"{word.term} {word.text}"), key


def test_each_role_of_the_form_is_explained() -> None:
    explained = {str(word.term) for _key, word in words_of("role")}
    asked = {value for value, _label in ROLES} - {"answer"}  # "answer or echo" says it itself
    assert asked <= explained


def test_a_word_in_place_is_a_button_with_its_text() -> None:
    page = Template("{% load trade %}{% explained 'crook' 'a' %}").render(Context())
    assert 'aria-expanded="false" aria-controls="term-crook-a">crook</button>' in page
    assert re.search(r'id="term-crook-a" hidden> A piece of tube', page)


@pytest.mark.django_db
def test_the_form_of_a_kind_explains_its_words(cast: Cast) -> None:
    form = client_of(cast.student).get(reverse("kind-form", args=["doubling"])).content.decode()
    assert 'name="k-parts"' in form
    assert "heterophonic doubling</button>" in form
    assert "Thirds and sixths are no doubling." in form
    free = client_of(cast.student).get(reverse("kind-form", args=["free"])).content.decode()
    assert "Words:" not in free


@pytest.mark.django_db
def test_the_page_of_words_and_instruments(cast: Cast) -> None:
    client = client_of(cast.student)
    with CaptureQueriesContext(connection) as seen:
        page = client.get(reverse("words")).content.decode()
    assert len(seen) <= 3
    terms = re.findall(r"<dt>([^<]*)</dt>", page)
    assert len(terms) == len(WORDS)
    assert terms == sorted(terms, key=str.casefold)
    assert '<td lang="it">fagotto</td><td lang="de">Fagott</td><td lang="fr">basson</td>' in page


@pytest.mark.django_db
def test_a_score_names_its_instruments(cast: Cast, stage: Stage) -> None:
    url = reverse("read-score", args=[stage.course.public_id, stage.score.public_id])
    page = client_of(cast.student).get(url).content.decode()
    assert '<dt>Flauto</dt><dd>flute · <span lang="it">flauto</span>' in page
    assert page.count('<span lang="de">') == len(
        {p["instrument"] for p in stage.run.copy.outline["parts"]}
    )


@pytest.mark.django_db
def test_but_not_while_the_page_is_surveyed(cast: Cast) -> None:
    stage = staged(cast, *USUAL)
    for url in (
        reverse("paper", args=[stage.assignment.public_id]),
        reverse("read-score", args=[stage.course.public_id, stage.score.public_id]),
    ):
        assert '<span lang="de">' not in client_of(cast.student).get(url).content.decode()


@pytest.mark.django_db
def test_keys_are_told_on_the_pages_that_have_them(cast: Cast, stage: Stage) -> None:
    handed_in(stage, cast.student)
    pages = {
        (cast.student, "paper", stage.assignment): "next note of your tutor",
        (cast.tutor, "review", stage.assignment): "set another flag",
        (cast.tutor, "score", stage.score): "go to a bar",
    }
    for (user, route, thing), told in pages.items():
        page = client_of(user).get(reverse(route, args=[thing.public_id])).content.decode()
        assert page.count('id="keys-dialog"') == 1, route
        assert told in page, route
