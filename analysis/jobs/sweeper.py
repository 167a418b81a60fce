"""The worker's own clock: asks for a sweep again and again, with or without a bell.

It runs in the worker's main process, which never opens the database itself:
its children are forked from it. The sweep is done by a child.
"""

from __future__ import annotations

import logging
import queue
import threading
import time
from typing import Any

from billiard.exceptions import WorkerLostError
from celery import current_app
from celery.signals import task_failure, worker_ready, worker_shutting_down
from django.conf import settings

SWEEP = "analysis.jobs.sweep"
log = logging.getLogger(__name__)
_over = threading.Event()
_wishes: queue.SimpleQueue[dict[str, Any]] = queue.SimpleQueue()  # what the next sweeps must know


def start(**_: Any) -> None:
    _over.clear()
    # Where this is the only worker, whatever was begun before it is nobody's any more.
    _wishes.put({"begun_before": time.time()} if settings.JOBS_ALONE else {})
    threading.Thread(target=_tick, name="sweeper", daemon=True).start()


def end(**_: Any) -> None:
    _over.set()
    _wishes.put({})


def look_at_once(task_id: str = "", exception: Any = None, **_: Any) -> None:
    """A child has died: neither its job nor those behind it wait for the lease."""
    if isinstance(exception, WorkerLostError):
        _wishes.put({"lost": task_id})


def _tick() -> None:
    while True:
        try:
            wish = _wishes.get(timeout=settings.JOB_SWEEP_SECONDS)
        except queue.Empty:
            wish = {}
        if _over.is_set():
            return
        try:
            current_app.send_task(
                SWEEP,
                kwargs=wish,
                retry=False,
                ignore_result=True,
                expires=None if wish else 4 * settings.JOB_SWEEP_SECONDS,
            )
        except Exception as error:  # the broker is away; the next tick tries again
            log.warning("No sweep: the broker does not answer (%s).", error)


worker_ready.connect(start)
worker_shutting_down.connect(end)
task_failure.connect(look_at_once)
