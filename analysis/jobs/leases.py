"""A lease says whose job it is. It is renewed by a heartbeat and checked at every write."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from types import FrameType
from typing import Any

from django.conf import settings
from django.db import connection
from django.utils import timezone

from analysis.jobs.models import Job

GRACE = 15.0  # seconds between the alarm and the end of the process


class LeaseLost(Exception):
    """The job has been given to somebody else; nothing more may be written for it."""


class TimeIsUp(BaseException):
    """The attempt has used its time. No handler's `except Exception` may swallow it."""


def until() -> Any:
    return timezone.now() + timedelta(seconds=settings.JOB_LEASE_SECONDS)


def hold(job: Job, **changes: Any) -> None:
    """Write to the job's row only if the lease is still ours (and renew it).

    Inside a transaction this also locks the row, so that the sweeper waits
    until the effect is written or undone.
    """
    changes.setdefault("lease_until", until())
    ours = Job.objects.filter(pk=job.pk, state=Job.State.RUNNING, lease_token=job.lease_token)
    if job.lease_token is None or not ours.update(**changes):
        raise LeaseLost(str(job))


class Heartbeat:
    """Renews the lease from a thread of its own while the work goes on."""

    def __init__(self, job: Job, *, time_limit: float, hard: bool) -> None:
        self.job = job
        self.hard = hard
        self.end = time.monotonic() + time_limit + GRACE
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._beat, name="lease", daemon=True)

    def __enter__(self) -> Heartbeat:
        self._thread.start()
        return self

    def __exit__(self, *exc: object) -> None:
        self._over.set()
        self._thread.join()

    def _beat(self) -> None:
        pause = settings.JOB_LEASE_SECONDS / 3
        try:
            while not self._over.wait(pause):
                if time.monotonic() > self.end:
                    # Not renewed any more: the sweeper takes the job back.
                    if self.hard:
                        os.kill(os.getpid(), signal.SIGKILL)
                    return
                self._renew()
        finally:
            connection.close()

    def _renew(self) -> None:
        try:
            hold(self.job)
        except LeaseLost:
            self._over.set()
        except Exception:  # the database may be away for a moment; the next beat tries again
            connection.close()


@contextmanager
def alarm(seconds: float) -> Iterator[None]:
    """Raise TimeIsUp in the work after so many seconds (main thread of a process only)."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def ring(number: int, frame: FrameType | None) -> None:
        raise TimeIsUp

    before = signal.signal(signal.SIGALRM, ring)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
