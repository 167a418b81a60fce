"""Whose turn it is, and taking the job: a conditional UPDATE, committed before the work."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from typing import Any

from django.db.models import F, Max, Min, Q, QuerySet
from django.utils import timezone

from analysis.jobs.leases import until
from analysis.jobs.models import Job
from analysis.jobs.slots import heavy_slot

HEAVY = (Job.Klass.SCORE, Job.Klass.BULK)
ORDER = (Job.Klass.INTERACTIVE, Job.Klass.SCORE, Job.Klass.BULK)
# Who has waited longer than this goes before the class above, so that nobody waits for ever.
PATIENCE = {
    Job.Klass.INTERACTIVE: timedelta(0),
    Job.Klass.SCORE: timedelta(minutes=2),
    Job.Klass.BULK: timedelta(minutes=15),
}


def claimable(now: datetime | None = None) -> QuerySet[Job]:
    """Jobs that wait and are due."""
    due = Q(not_before__isnull=True) | Q(not_before__lte=now or timezone.now())
    return Job.objects.filter(due, state=Job.State.QUEUED)


@contextmanager
def claim(owner: str = "") -> Iterator[Job | None]:
    """The next job, now ours, or None. A heavy one keeps the machine's heavy slot meanwhile."""
    with heavy_slot() as free:
        for klass in _classes(heavy=free):
            job = _take(klass, owner)
            if job is not None:
                if klass not in HEAVY:
                    free.give_back()
                yield job
                return
        free.give_back()
        yield None


def _classes(*, heavy: Any) -> list[str]:
    """The classes in the order of this moment."""
    now = timezone.now()
    oldest = {
        row["klass"]: row["first"]
        for row in claimable(now).values("klass").annotate(first=Min("created_at"))
    }
    wanted = [k for k in ORDER if k in oldest and (heavy or k not in HEAVY)]
    impatient = [k for k in wanted if k in HEAVY and now - oldest[k] > PATIENCE[k]]
    return [*impatient, *(k for k in wanted if k not in impatient)]


def _take(klass: str, owner: str) -> Job | None:
    for pk in _turns(klass):
        token = uuid.uuid4()
        taken = Job.objects.filter(pk=pk, state=Job.State.QUEUED).update(
            state=Job.State.RUNNING,
            attempts=F("attempts") + 1,
            lease_token=token,
            lease_owner=owner,
            lease_until=until(),
            started_at=timezone.now(),
            ended_at=None,
            progress=0,
            doing="",
        )
        if taken:
            return Job.objects.get(pk=pk)
    return None


def _turns(klass: str) -> list[int]:
    """The first waiting job of each tutor, the longest unserved tutor first."""
    firsts = {
        row["tutor"]: row["first"]
        for row in claimable().filter(klass=klass).values("tutor").annotate(first=Min("id"))
    }
    if len(firsts) == 1:
        return list(firsts.values())
    recent = timezone.now() - timedelta(hours=1)
    served = {
        row["tutor"]: row["last"]
        for row in Job.objects.filter(klass=klass, started_at__gte=recent)
        .values("tutor")
        .annotate(last=Max("started_at"))
    }
    turn = sorted(firsts, key=lambda t: (served.get(t, recent), firsts[t]))
    return [firsts[tutor] for tutor in turn]
