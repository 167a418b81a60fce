"""Doing the work: one job at a time, under a lease, each effect once."""

from __future__ import annotations

import logging
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta

from django.conf import settings
from django.db import close_old_connections, transaction
from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from analysis.jobs import faults, registry
from analysis.jobs.claiming import claim, claimable
from analysis.jobs.leases import Heartbeat, LeaseLost, TimeIsUp, alarm, hold
from analysis.jobs.models import Effect, Job

log = logging.getLogger(__name__)

RAISED = "Something went wrong inside the site while this was being done; it was tried {n} times."
TOO_LONG = "This took longer than {limit} and was stopped; it was tried {n} times."
VANISHED = "The process doing this ended without a word; it was tried {n} times."
UNKNOWN = "This site does not know how to do “{kind}”. It may run an older version."
ADVICE = (
    "Nothing you wrote is lost. Try again; if it stops again, tell whoever runs this site: {id}."
)


class CannotBeDone(Exception):
    """Raised by a handler when trying again is no use; the sentence is shown to people."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@contextmanager
def once(job: Job, effect_key: str) -> Iterator[bool]:
    """A transaction around one effect; yields True only the first time.

    Raises LeaseLost, and so writes nothing, if the job has been given to
    somebody else meanwhile.
    """
    with transaction.atomic():
        hold(job)
        _effect, first = Effect.objects.get_or_create(key=effect_key, defaults={"job": job})
        yield first
        faults.point("before-effect")
    faults.point("after-effect")


def progress(job: Job, percent: int, doing: str = "") -> None:
    """Say how far it is. Raises LeaseLost if the job is no longer ours."""
    percent = max(0, min(100, int(percent)))
    hold(job, progress=percent, doing=doing[:120])
    job.progress, job.doing = percent, doing[:120]


def drain(*, owner: str = "", most: int = 50, seconds: float = 60, hard: bool = False) -> int:
    """Do jobs until none is left, or enough were done; the number done.

    `owner` is the message this process was called by: if the process dies, its
    jobs are known by it. `hard` lets the heartbeat end this process when a job is stuck in native
    code beyond its time limit: for the worker's child processes only.
    """
    began, done = time.monotonic(), 0
    swept = began
    while done < most and time.monotonic() - began < seconds:
        close_old_connections()
        if time.monotonic() - swept > settings.JOB_SWEEP_SECONDS:
            sweep()  # while every process is busy, no message for a sweep gets through
            swept = time.monotonic()
        with claim(owner) as job:
            if job is None:
                break
            perform(job, hard=hard)
            done += 1
    return done


def perform(job: Job, *, hard: bool = False) -> None:
    """One attempt at a claimed job, and its end."""
    faults.point("claimed")
    try:
        kind = registry.get(job.kind)
    except registry.UnknownKind:
        stop(job, _(UNKNOWN).format(kind=job.kind))
        return
    try:
        with Heartbeat(job, time_limit=kind.time_limit, hard=hard), alarm(kind.time_limit):
            kind.run(job)
        finish(job)
    except LeaseLost:
        log.warning("Lost the lease on %s; its effects were refused.", job)
    except CannotBeDone as reason:
        stop(job, reason.sentence)
    except TimeIsUp:
        log.error("%s took longer than %s s", job, kind.time_limit)
        again_or_stop(job, too_long(job))
    except Exception:
        log.exception("%s failed, attempt %s", job, job.attempts)
        again_or_stop(job, _(RAISED).format(n=job.attempts))


def finish(job: Job) -> None:
    faults.point("before-done")
    now = timezone.now()
    hold(
        job,
        state=Job.State.DONE,
        progress=100,
        doing="",
        problem="",
        lease_until=None,
        lease_token=None,
        ended_at=now,
    )
    job.state = Job.State.DONE


def too_long(job: Job) -> str:
    limit = registry.get(job.kind).time_limit
    words = (
        _("{n} minutes").format(n=round(limit / 60))
        if limit >= 120
        else ngettext("{n} second", "{n} seconds", n := max(1, round(limit))).format(n=n)
    )
    return _(TOO_LONG).format(limit=words, n=job.attempts)


def again_or_stop(job: Job, sentence: str) -> None:
    """Give the job back to the queue, later each time; after the last attempt, stop it."""
    if job.attempts >= settings.JOB_MAX_ATTEMPTS:
        stop(job, f"{sentence} {_(ADVICE).format(id=job.public_id)}")
        return
    pause = timedelta(seconds=2**job.attempts)
    try:
        hold(
            job,
            state=Job.State.QUEUED,
            problem=sentence,
            lease_until=None,
            lease_token=None,
            not_before=timezone.now() + pause,
        )
    except LeaseLost:
        log.warning("%s was taken over meanwhile.", job)


def stop(job: Job, sentence: str) -> None:
    """The end after failure: a sentence for people, and the owner of the kind is told."""
    try:
        with transaction.atomic():
            hold(
                job,
                state=Job.State.FAILED,
                problem=sentence,
                doing="",
                lease_until=None,
                lease_token=None,
                ended_at=timezone.now(),
            )
            job.state, job.problem = Job.State.FAILED, sentence
            try:
                kind = registry.get(job.kind)
            except registry.UnknownKind:
                return
            kind.failed(job)
    except LeaseLost:
        log.warning("%s was taken over meanwhile.", job)


def sweep(*, lost: str = "", begun_before: datetime | None = None) -> int:
    """Take jobs back from processes that vanished; the number of jobs now waiting.

    Vanished is who let the lease run out. Two more are known at once: the process
    that was called by the message `lost`, and, where there is one worker only,
    everybody who began before that worker did.
    """
    now = timezone.now()
    gone = Q(pk__in=[])
    if lost:
        gone |= Q(lease_owner=lost)
    if begun_before:
        gone |= Q(started_at__lt=begun_before)
    Job.objects.filter(gone, state=Job.State.RUNNING).update(lease_until=now - timedelta(seconds=1))
    expired = Job.objects.filter(state=Job.State.RUNNING, lease_until__lt=now)
    for job in expired:
        # Only if it is still the same lease: a heartbeat may have come in between.
        taken = Job.objects.filter(
            pk=job.pk, lease_token=job.lease_token, lease_until=job.lease_until
        )
        if job.attempts >= settings.JOB_MAX_ATTEMPTS:
            # Hold it briefly so that its end is written like any other.
            if taken.update(lease_until=now + timedelta(seconds=30)):
                sentence = job.problem or _(VANISHED).format(n=job.attempts)
                stop(job, f"{sentence} {_(ADVICE).format(id=job.public_id)}")
        else:
            taken.update(state=Job.State.QUEUED, lease_until=None, lease_token=None)
    return waiting().count()


def waiting() -> QuerySet[Job]:
    """Jobs nobody has begun."""
    return claimable()
