"""What is in the database against what the clients were told."""

from __future__ import annotations

import hashlib
from collections import Counter
from typing import Any

from django.db import OperationalError, close_old_connections

from analysis.jobs.models import Job
from analysis.jobs.queue import enqueue, retry
from analysis.models import CanonicalCopy
from courses.models import Event, ScoreVersion
from submissions.models import Check, Observation, ObservationVersion
from tests.kill.work import EFFECT, score_file

LIVE = (Job.State.QUEUED, Job.State.RUNNING)


def tally(words: list[str]) -> dict[str, int]:
    return dict(Counter(words))


def progress_mark() -> tuple[int, int]:
    """Statements kept and jobs done so far."""
    close_old_connections()
    return Observation.objects.count(), Job.objects.filter(state=Job.State.DONE).count()


def moved_on(mark: tuple[int, int]) -> bool:
    """Both the web and the worker have done something since."""
    now = progress_mark()
    return now[0] > mark[0] and now[1] > mark[1]


def put_poison() -> int:
    return int(enqueue("kill-poison", key="poison", payload={}).pk)


def unfinished() -> int:
    try:
        return Job.objects.filter(state__in=LIVE).count()
    except OperationalError:
        close_old_connections()
        return -1


def press_retry(poison: int) -> int:
    """The button, for every job that three kills have hit; how many."""
    stopped = list(Job.objects.filter(state=Job.State.FAILED).exclude(pk=poison))
    for job in stopped:
        assert "3 times" in job.problem
        retry(job)
    return len(stopped)


def look(acknowledged: set[str], poison: int) -> dict[str, Any]:
    said = Counter(Observation.objects.values_list("client_key", flat=True))
    versions = Counter(ObservationVersion.objects.values_list("observation__client_key", flat=True))
    effects = Counter(Event.objects.filter(verb=EFFECT).values_list("thing_id", flat=True))
    checks = Counter(
        Check.objects.values_list("observation_version__observation__client_key", flat=True)
    )
    jobs = Job.objects.exclude(pk=poison)
    bad = Job.objects.get(pk=poison)
    return {
        "acknowledged": len(acknowledged),
        "lost": sorted(acknowledged - set(said)),
        "said_twice": sorted(k for k, n in (said + versions).items() if n > 2),
        "effect_missing": sorted(set(said) - set(effects)),
        "effect_doubled": sorted(k for k, n in effects.items() if n > 1),
        "check_missing": sorted(set(said) - set(checks)),
        "check_doubled": sorted(k for k, n in checks.items() if n > 1),
        "jobs": tally(list(jobs.values_list("state", flat=True))),
        "attempts": dict(sorted(Counter(jobs.values_list("attempts", flat=True)).items())),
        "stopped": [f"{j.key}: {j.problem}" for j in jobs.filter(state=Job.State.FAILED)],
        "poison": {"state": bad.state, "attempts": bad.attempts, "sentence": bad.problem},
    }


def look_at_uploads(uploaded: set[str]) -> dict[str, Any]:
    """Every acknowledged file: its row, its bytes, one canonical copy, its parts proposed once."""
    wrong: dict[str, list[str]] = {"upload_lost": [], "upload_other": [], "gate_not_once": []}
    kept = ScoreVersion.objects.exclude(size=1)
    by_hash = {version.sha256: version for version in kept}
    for key in sorted(uploaded):
        data = score_file(key)
        version = by_hash.get(hashlib.sha256(data).hexdigest())
        if version is None:
            wrong["upload_lost"].append(key)
            continue
        with version.original.open("rb") as file:
            if file.read() != data:
                wrong["upload_other"].append(key)
        copies = CanonicalCopy.objects.filter(version=version).count()
        if (version.state, copies, version.parts_revisions.count()) != ("parts", 1, 1):
            wrong["gate_not_once"].append(f"{key} {version.state} {version.problem}")
    return {"uploaded": len(uploaded), **wrong}


def passed(found: dict[str, Any]) -> bool:
    wrong = (
        "upload_lost",
        "upload_other",
        "gate_not_once",
        "lost",
        "said_twice",
        "effect_doubled",
        "check_doubled",
        "effect_missing",
    )
    poison = found["poison"]
    return (
        not any(found[name] for name in (*wrong, "check_missing"))
        and set(found["jobs"]) == {Job.State.DONE}
        and (poison["state"], poison["attempts"]) == (Job.State.FAILED, 3)
        and "3 times" in poison["sentence"]
    )
