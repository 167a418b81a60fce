"""Putting work down: in the cause's transaction, once a key."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import transaction

from analysis.jobs import queue
from analysis.jobs.models import Job
from analysis.jobs.queue import enqueue, retry

pytestmark = pytest.mark.django_db


def put(key: str = "a", **more: Any) -> Job:
    return enqueue("test", key=key, payload=more.pop("payload", {}), **more)


def test_the_same_key_is_the_same_job() -> None:
    first, second = put(payload={"n": 1}), put(payload={"n": 2})
    assert first.pk == second.pk
    assert second.payload == {"n": 1}
    assert Job.objects.count() == 1


def test_a_cause_that_is_undone_leaves_no_job(
    silent_bell: list[bool], django_capture_on_commit_callbacks: Any
) -> None:
    @transaction.atomic
    def cause() -> None:
        put()
        raise RuntimeError

    with django_capture_on_commit_callbacks(execute=True), pytest.raises(RuntimeError):
        cause()
    assert not Job.objects.exists()
    assert silent_bell == []


def test_the_bell_rings_after_the_commit_only(
    silent_bell: list[bool], django_capture_on_commit_callbacks: Any
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        put()
        assert silent_bell == []
    assert silent_bell == [True]


def test_restart_begins_again_with_the_new_payload() -> None:
    job = put(payload={"n": 1})
    Job.objects.filter(pk=job.pk).update(state=Job.State.DONE, attempts=3, progress=100)
    job = put(payload={"n": 2}, restart=True)
    job.refresh_from_db()
    assert (job.state, job.attempts, job.progress, job.payload) == ("queued", 0, 0, {"n": 2})


def test_without_restart_a_done_job_stays_done() -> None:
    job = put()
    Job.objects.filter(pk=job.pk).update(state=Job.State.DONE)
    assert put().state == Job.State.DONE


def test_retry_gives_a_stopped_job_fresh_attempts() -> None:
    job = put()
    Job.objects.filter(pk=job.pk).update(state=Job.State.FAILED, attempts=3, problem="It stopped.")
    job = retry(job)
    assert (job.state, job.attempts, job.problem) == ("queued", 0, "")


@pytest.mark.parametrize("state", [Job.State.QUEUED, Job.State.RUNNING, Job.State.DONE])
def test_retry_leaves_every_other_job_alone(state: str) -> None:
    job = put()
    Job.objects.filter(pk=job.pk).update(state=state, attempts=1)
    job = retry(job)
    assert (job.state, job.attempts) == (state, 1)


def test_a_dead_broker_is_no_failure_of_the_page(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.undo()  # the real bell; its socket does not exist
    monkeypatch.setattr(queue._bell, "silent_until", 0.0)
    queue.ring_the_bell()
    assert "sweeper" in caplog.text
    assert queue._bell.silent_until > 0
