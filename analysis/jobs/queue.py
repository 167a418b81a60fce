"""Putting work down. The row is the queue; the broker only rings the bell."""

from __future__ import annotations

import logging
import time
from typing import Any

from celery import current_app
from django.db import transaction

from analysis.jobs import faults
from analysis.jobs.models import Job

log = logging.getLogger(__name__)

RING = "analysis.jobs.ring"
QUIET = 2.0  # seconds without trying again after the bell was dead


class _Bell:
    silent_until = 0.0


_bell = _Bell()


@transaction.atomic
def enqueue(
    kind: str,
    *,
    key: str,
    payload: dict[str, Any],
    klass: str = Job.Klass.INTERACTIVE,
    tutor: Any = None,
    restart: bool = False,
) -> Job:
    """Write a job row in the caller's transaction. The same key is the same job.

    `restart` puts an existing job back to the start with the new payload; if it
    is just being done, that attempt loses its lease and none of its effects count.
    Effect keys must name what the effect depends on, or a restart changes nothing.
    """
    job, made = Job.objects.get_or_create(
        key=key,
        defaults={"kind": kind, "payload": payload, "klass": klass, "tutor": tutor},
    )
    if not made and restart:
        job.payload = payload
        _to_the_start(job, payload=payload)
    if made or restart:
        transaction.on_commit(ring_the_bell, robust=True)
    return job


@transaction.atomic
def retry(job: Job) -> Job:
    """The retry button: three fresh attempts for a job that has stopped."""
    if Job.objects.filter(pk=job.pk, state=Job.State.FAILED).exists():
        _to_the_start(job)
        transaction.on_commit(ring_the_bell, robust=True)
    job.refresh_from_db()
    return job


def _to_the_start(job: Job, **more: Any) -> None:
    fresh = {
        "state": Job.State.QUEUED,
        "attempts": 0,
        "not_before": None,
        "lease_until": None,
        "lease_token": None,
        "progress": 0,
        "doing": "",
        "problem": "",
        "ended_at": None,
        **more,
    }
    Job.objects.filter(pk=job.pk).update(**fresh)
    for name, value in fresh.items():
        setattr(job, name, value)


def ring_the_bell() -> None:
    """Tell a worker at once, if the broker listens. If not, the sweeper finds the row."""
    faults.point("before-bell")
    if time.monotonic() < _bell.silent_until:
        return
    try:
        current_app.signature(RING).apply_async(retry=False, ignore_result=True, expires=60)
    except Exception as error:  # a silent bell must never break what was acknowledged
        _bell.silent_until = time.monotonic() + QUIET
        log.warning("The broker did not take the bell (%s); the sweeper finds the row.", error)
