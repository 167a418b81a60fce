"""Celery entries: the doorbell and the sweeper. They decide nothing."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from celery import shared_task

from analysis.jobs import worker
from analysis.jobs.queue import RING, ring_the_bell

SWEEP = "analysis.jobs.sweep"


@shared_task(name=RING, acks_late=False, ignore_result=True)  # type: ignore[untyped-decorator]
def ring(**_: Any) -> int:
    """Somebody put work down: do all there is."""
    done = worker.drain(owner=ring.request.id or "", hard=not ring.request.is_eager)
    if done and worker.waiting().exists():
        ring_the_bell()  # a fresh message, so that the process can be recycled in between
    return done


@shared_task(name=SWEEP, acks_late=False, ignore_result=True)  # type: ignore[untyped-decorator]
def sweep(lost: str = "", begun_before: float | None = None, **_: Any) -> int:
    """Take back what vanished processes held, then do what waits without a bell."""
    moment = datetime.fromtimestamp(begun_before, UTC) if begun_before else None
    if not worker.sweep(lost=lost, begun_before=moment):
        return 0
    return worker.drain(owner=sweep.request.id or "", hard=not sweep.request.is_eager)
