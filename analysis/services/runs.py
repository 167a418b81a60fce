"""Asking for a reading, and for it again."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from django.db import transaction

from analysis.engine import ENGINE_VERSION
from analysis.jobs.models import Job
from analysis.jobs.queue import enqueue, retry
from analysis.models import CanonicalCopy, Run
from courses.models import PartsRevision, ScoreVersion
from courses.services.library import set_score_state


def settings_hash(settings: dict[str, Any]) -> str:
    return hashlib.sha256(json.dumps(settings, sort_keys=True).encode()).hexdigest()


def ask_gate(version: ScoreVersion) -> Job:
    """Queue the gate for an uploaded file (inside the upload's transaction)."""
    return enqueue(
        "gate",
        key=f"gate:{version.pk}",
        payload={"version": version.pk},
        klass=Job.Klass.SCORE,
        tutor=version.score.tutor,
    )


@transaction.atomic
def ask_run(
    copy: CanonicalCopy, revision: PartsRevision, settings: dict[str, Any] | None = None
) -> Run:
    """The run for these inputs, queued if it is new."""
    run, made = Run.objects.get_or_create(
        copy=copy,
        parts_revision=revision,
        engine_version=ENGINE_VERSION,
        settings_hash=settings_hash(settings or {}),
        defaults={"settings": settings or {}},
    )
    if made or run.state == Run.State.WAITING:
        set_score_state(copy.version, ScoreVersion.State.READING)
        enqueue(
            "read",
            key=f"read:{run.pk}",
            payload={"run": run.pk},
            klass=Job.Klass.SCORE,
            tutor=copy.version.score.tutor,
        )
    elif run.state == Run.State.READY:
        make_current(run)
    return run


def make_current(run: Run) -> None:
    """Let pages and checks use this run from now on."""
    Run.objects.filter(copy=run.copy, current=True).exclude(pk=run.pk).update(current=False)
    Run.objects.filter(pk=run.pk).update(current=True)
    run.current = True
    set_score_state(run.copy.version, ScoreVersion.State.READY)


def try_again(job: Job) -> Job:
    """The retry button."""
    return retry(job)
