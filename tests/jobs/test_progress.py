"""The fragment on the page: who may see it, what it says, the retry button."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.test import Client
from django.urls import reverse

from analysis.jobs.models import Job
from analysis.jobs.queue import enqueue
from tests.jobs.kinds import kind

pytestmark = pytest.mark.django_db


def person(name: str) -> Any:
    return get_user_model().objects.create_user(username=name)


@pytest.fixture
def tutor() -> Any:
    return person("ada")


@pytest.fixture
def job(tutor: Any) -> Iterator[Job]:
    with kind("test", lambda job: None):
        yield enqueue("test", key="a", payload={}, tutor=tutor)


@pytest.fixture
def page(client: Client, tutor: Any) -> Client:
    client.force_login(tutor)
    return client


def shown(client: Client, job: Job, query: str = "") -> Any:
    return client.get(reverse("jobs:progress", args=[job.public_id]) + query)


def test_a_waiting_job_asks_again_by_itself(page: Client, job: Job) -> None:
    text = shown(page, job).content.decode()
    assert 'data-job-state="queued"' in text
    assert 'hx-trigger="every 2s"' in text


def test_it_says_what_is_being_done(page: Client, job: Job) -> None:
    Job.objects.update(state="running", progress=42, doing="engraving page 3 of 53")
    text = shown(page, job).content.decode()
    assert "engraving page 3 of 53" in text
    assert 'value="42"' in text


def test_a_done_job_asks_no_more_and_the_page_is_loaded_again_if_wished(
    page: Client, job: Job
) -> None:
    Job.objects.update(state="done")
    answer = shown(page, job, "?reload=1")
    assert "hx-trigger" not in answer.content.decode()
    assert answer["HX-Refresh"] == "true"
    assert "HX-Refresh" not in shown(page, job)


def test_a_stopped_job_shows_its_sentence_and_a_button_that_works(page: Client, job: Job) -> None:
    Job.objects.update(state="failed", attempts=3, problem="It stopped three times.")
    text = shown(page, job).content.decode()
    assert "It stopped three times." in text
    assert "Try again" in text
    answer = page.post(reverse("jobs:retry", args=[job.public_id]))
    assert 'data-job-state="queued"' in answer.content.decode()
    job.refresh_from_db()
    assert (job.state, job.attempts) == ("queued", 0)


def test_retry_is_no_matter_of_a_link(page: Client, job: Job) -> None:
    assert page.get(reverse("jobs:retry", args=[job.public_id])).status_code == 405


def test_nobody_else_sees_it(client: Client, job: Job) -> None:
    assert shown(client, job).status_code == 302  # to the sign-in
    client.force_login(person("charlie"))
    assert shown(client, job).status_code == 404
    assert client.post(reverse("jobs:retry", args=[job.public_id])).status_code == 404


def test_the_owner_of_a_kind_decides_who_sees_it(client: Client, tutor: Any) -> None:
    student = person("bob")
    with kind("seen", lambda job: None, may_see=lambda user, job: user.pk == job.payload["for"]):
        job = enqueue("seen", key="c", payload={"for": student.pk}, tutor=tutor)
        Job.objects.update(state="failed", problem="It stopped.")
        client.force_login(student)
        assert shown(client, job).status_code == 200
        assert "Try again" not in shown(client, job).content.decode()
        assert client.post(reverse("jobs:retry", args=[job.public_id])).status_code == 404
