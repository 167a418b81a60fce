"""Which layers on the notes a person may switch on over given bars.

The tutor's side sees all. Of bars asked about on an own paper that was given back a student sees
all, too. Else a student sees what the tutor allows at the stage reached (`courses.stages`): every
assignment that asks about these bars and still holds its answers back must allow a layer; where
none does, one assignment on the score that allows it is enough.
"""

from __future__ import annotations

from datetime import datetime

from analysis.models import Run
from courses.models import Assignment, AssignmentVersion, User
from courses.stages import LAYERS, Way, ways_of
from submissions.sight import Answers, Eyes

#: Together they tell what a full description tells.
TOLD = frozenset({"melody", "doublings", "roles", "keys"})


def allowed(user: User, run: Run, first: int, last: int, now: datetime) -> frozenset[str]:
    """Names of `courses.stages.LAYERS` that may be seen over all of the bars."""
    runs = allowed_runs(user, run, first, last, now)
    return frozenset(LAYERS).intersection(*(names for _first, _last, names in runs))


def allowed_runs(
    user: User, run: Run, first: int, last: int, now: datetime
) -> list[tuple[int, int, frozenset[str]]]:
    """The bars cut where what may be seen changes: (first, last, names of layers)."""
    eyes = Eyes(user, now)
    if eyes.may_see(Answers(run, first, last)):
        return [(first, last, frozenset(LAYERS))]
    version = run.copy.version
    bars = run.copy.outline["bars"]
    last = min(last, len(bars) - 1)
    if first > last:
        return [(first, last, frozenset())]
    found = (
        Assignment.objects.reachable_by(user)
        .filter(current__score_version__score=version.score_id)
        .select_related("current__assignment")
    )
    versions = [a.current for a in found if a.current is not None and _begun(a.current, now)]
    ways = ways_of(versions, user)

    def of_stages(first: int, last: int) -> frozenset[str]:
        if not eyes.awaits_release(version.pk, first, last):
            return frozenset().union(*(ways[v.pk].layers for v in versions))
        here = [ways[v.pk].layers for v in versions if _asks(ways[v.pk], version.pk, first, last)]
        return frozenset(LAYERS).intersection(*here) if here else frozenset()

    runs: list[tuple[int, int, frozenset[str]]] = []
    at = first
    for start, end in eyes.answered(version.pk, first, last):
        if at < start:
            runs.append((at, start - 1, of_stages(at, start - 1)))
        runs.append((start, end, frozenset(LAYERS)))
        at = end + 1
    if at <= last:
        runs.append((at, last, of_stages(at, last)))
    return runs


def _begun(version: AssignmentVersion, now: datetime) -> bool:
    return version.opens_at is None or version.opens_at <= now


def _asks(way: Way, version: int, first: int, last: int) -> bool:
    """Whether an assignment asks about these bars; in another file of the score: about any."""
    return any(
        p.version_id != version or (p.first_bar <= last and p.last_bar >= first)
        for p in way.prompts
    )
