"""Doing the work: attempts, leases, effects, sentences."""

from __future__ import annotations

import time
import uuid
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from analysis.jobs import leases, registry, worker
from analysis.jobs.claiming import claim
from analysis.jobs.leases import LeaseLost
from analysis.jobs.models import Effect, Job
from analysis.jobs.queue import enqueue
from analysis.jobs.worker import CannotBeDone, drain, once, progress
from tests.jobs.kinds import kind

pytestmark = pytest.mark.django_db


def put(key: str = "a", name: str = "test", **more: Any) -> Job:
    return enqueue(name, key=key, payload={}, **more)


def make_due(job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(not_before=None)


def lapse(job: Job) -> None:
    """As if the process had vanished long ago."""
    past = timezone.now() - timedelta(seconds=1)
    Job.objects.filter(pk=job.pk, state=Job.State.RUNNING).update(lease_until=past)


def test_a_job_is_done_and_says_so() -> None:
    seen = []
    with kind("test", lambda job: seen.append(job.attempts)):
        job = put()
        assert drain() == 1
    job.refresh_from_db()
    assert (job.state, job.progress, seen) == ("done", 100, [1])
    assert job.ended_at
    assert job.lease_token is None


def test_the_attempt_is_counted_before_the_work_begins() -> None:
    def look(job: Job) -> None:
        assert Job.objects.get(pk=job.pk).attempts == 1
        assert Job.objects.get(pk=job.pk).state == Job.State.RUNNING

    with kind("test", look):
        job = put()
        drain()
    job.refresh_from_db()
    assert job.state == Job.State.DONE


def test_three_attempts_then_a_sentence_and_the_owner_is_told() -> None:
    tries, told = [], []

    def fall(job: Job) -> None:
        tries.append(job.attempts)
        raise RuntimeError("secret detail")

    with kind("test", fall, on_failed=lambda job: told.append(job.problem)):
        job = put()
        for _ in range(5):
            drain()
            make_due(job)
    job.refresh_from_db()
    assert tries == [1, 2, 3]
    assert job.state == Job.State.FAILED
    assert "tried 3 times" in job.problem
    assert "secret" not in job.problem
    assert told == [job.problem]


def test_a_failed_attempt_waits_before_the_next() -> None:
    with kind("test", lambda job: 1 / 0):
        job = put()
        assert drain() == 1
        job.refresh_from_db()
        assert job.state == Job.State.QUEUED
        assert job.not_before is not None
        assert job.not_before > timezone.now()


def test_what_cannot_be_done_is_not_tried_again() -> None:
    def refuse(job: Job) -> None:
        raise CannotBeDone("The score has no notes.")

    with kind("test", refuse):
        job = put()
        drain()
    job.refresh_from_db()
    assert (job.state, job.attempts, job.problem) == ("failed", 1, "The score has no notes.")


def test_an_unknown_kind_stops_with_a_sentence() -> None:
    job = put(name="nobody-does-this")
    drain()
    job.refresh_from_db()
    assert job.state == Job.State.FAILED
    assert "nobody-does-this" in job.problem


def test_a_vanished_process_counts_as_an_attempt_and_the_third_ends_it() -> None:
    told: list[str] = []
    with kind("test", lambda job: None, on_failed=lambda job: told.append(job.problem)):
        job = put()
        for attempt in (1, 2, 3):
            with claim() as mine:
                assert mine is not None
                assert mine.attempts == attempt
            lapse(job)
            worker.sweep()
    job.refresh_from_db()
    assert job.state == Job.State.FAILED
    assert "ended without a word" in job.problem
    assert str(job.public_id) in job.problem
    assert len(told) == 1


def test_the_sweeper_leaves_a_living_lease_alone() -> None:
    job = put()
    with claim() as mine:
        assert mine is not None
        worker.sweep()
    job.refresh_from_db()
    assert job.state == Job.State.RUNNING


def test_a_process_known_to_be_dead_is_not_waited_for() -> None:
    job = put()
    with claim("message-1") as mine:
        assert mine is not None
        worker.sweep(lost="message-2")
        job.refresh_from_db()
        assert job.state == Job.State.RUNNING
        worker.sweep(lost="message-1")
    job.refresh_from_db()
    assert job.state == Job.State.QUEUED


def test_a_lone_worker_takes_back_what_was_begun_before_it() -> None:
    job = put()
    with claim() as mine:
        assert mine is not None
        worker.sweep(begun_before=timezone.now() - timedelta(minutes=1))
        job.refresh_from_db()
        assert job.state == Job.State.RUNNING
        worker.sweep(begun_before=timezone.now())
    job.refresh_from_db()
    assert job.state == Job.State.QUEUED


def test_the_sweeper_counts_what_waits() -> None:
    put("a")
    put("b")
    assert worker.sweep() == 2


def test_an_effect_happens_once_over_two_attempts() -> None:
    written: list[int] = []

    def write(job: Job) -> None:
        with once(job, "told:1") as first:
            if first:
                written.append(job.attempts)
        if job.attempts == 1:
            raise RuntimeError("after the effect")

    with kind("test", write):
        job = put()
        drain()
        make_due(job)
        drain()
    job.refresh_from_db()
    assert (job.state, written) == ("done", [1])
    assert Effect.objects.filter(job=job).count() == 1


def test_an_effect_that_is_undone_may_happen_again() -> None:
    def write(job: Job) -> None:
        with once(job, "told:1") as first:
            assert first
            if job.attempts == 1:
                raise RuntimeError("inside the effect")

    with kind("test", write):
        job = put()
        drain()
        assert not Effect.objects.exists()
        make_due(job)
        drain()
    assert Effect.objects.count() == 1


def test_a_lost_lease_has_no_effect_and_changes_nothing() -> None:
    def lose(job: Job) -> None:
        Job.objects.filter(pk=job.pk).update(lease_token=uuid.uuid4())
        with once(job, "told:1"):
            pytest.fail("the lease was not looked at")

    with kind("test", lose):
        job = put()
        drain()
    job.refresh_from_db()
    assert job.state == Job.State.RUNNING  # it is the other's
    assert not Effect.objects.exists()


def test_a_restarted_job_is_lost_to_whoever_does_it() -> None:
    def restart(job: Job) -> None:
        if job.attempts == 1 and not job.payload.get("again"):
            enqueue("test", key=job.key, payload={"again": True}, restart=True)
            with pytest.raises(LeaseLost):
                progress(job, 50)
            progress(job, 50)

    with kind("test", restart):
        job = put()
        assert drain() == 2
    job.refresh_from_db()
    assert (job.state, job.payload) == ("done", {"again": True})


def test_progress_is_seen_and_kept_within_bounds() -> None:
    def work(job: Job) -> None:
        progress(job, 140, "engraving page 3 of 53 " + "x" * 200)
        row = Job.objects.get(pk=job.pk)
        assert row.progress == 100
        assert row.doing.startswith("engraving page 3 of 53")
        assert len(row.doing) == 120

    with kind("test", work):
        job = put()
        drain()
    job.refresh_from_db()
    assert job.state == Job.State.DONE


def test_too_long_a_job_is_stopped_with_a_sentence() -> None:
    def sleep(job: Job) -> None:
        try:
            time.sleep(10)
        except Exception:
            pytest.fail("a handler's own except swallowed the alarm")

    began = time.monotonic()
    with kind("test", sleep, time_limit=0.2):
        job = put()
        drain()
    assert time.monotonic() - began < 5
    job.refresh_from_db()
    assert (job.state, job.attempts) == ("queued", 1)
    assert job.problem.startswith("This took longer than 1 second")


def test_the_heartbeat_renews_the_lease(settings: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    settings.JOB_LEASE_SECONDS = 0.15
    held: list[Job] = []
    monkeypatch.setattr(leases, "hold", held.append)
    monkeypatch.setattr(leases.connection, "close", lambda: None)
    with leases.Heartbeat(Job(pk=1), time_limit=60, hard=False):
        time.sleep(0.5)
    assert 4 <= len(held) <= 10


def test_kinds_are_registered_once(drain_jobs: Callable[[], int]) -> None:
    def first(job: Job) -> None: ...

    def other(job: Job) -> None: ...

    with kind("test", first):
        registry.register("test", first)  # the same again does no harm
        with pytest.raises(ValueError, match="twice"):
            registry.register("test", other)
