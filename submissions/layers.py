"""Which layers on the notes a person may switch on over given bars.

The tutor's side sees all. A student sees what the tutor allows at the stage reached
(`courses.stages`): every assignment that asks about these bars and still holds its answers back
must allow a layer; where none does, one assignment on the score that allows it is enough.
"""

from __future__ import annotations

from datetime import datetime

from analysis.models import Run
from courses.models import Assignment, AssignmentVersion, User
from courses.stages import LAYERS, Way, ways_of
from submissions.sight import Answers, Eyes


def allowed(user: User, run: Run, first: int, last: int, now: datetime) -> frozenset[str]:
    """Names of `courses.stages.LAYERS`."""
    eyes = Eyes(user, now)
    if eyes.may_see(Answers(run, first, last)):
        return frozenset(LAYERS)
    version = run.copy.version
    found = (
        Assignment.objects.reachable_by(user)
        .filter(current__score_version__score=version.score_id)
        .select_related("current__assignment")
    )
    versions = [a.current for a in found if a.current is not None and _begun(a.current, now)]
    ways = ways_of(versions, user)
    if not eyes.awaits_release(version.pk, first, last):
        return frozenset().union(*(ways[v.pk].layers for v in versions))
    here = [ways[v.pk].layers for v in versions if _asks(ways[v.pk], version.pk, first, last)]
    return frozenset(LAYERS).intersection(*here) if here else frozenset()


def _begun(version: AssignmentVersion, now: datetime) -> bool:
    return version.opens_at is None or version.opens_at <= now


def _asks(way: Way, version: int, first: int, last: int) -> bool:
    """Whether an assignment asks about these bars; in another file of the score: about any."""
    return any(
        p.version_id != version or (p.first_bar <= last and p.last_bar >= first)
        for p in way.prompts
    )
