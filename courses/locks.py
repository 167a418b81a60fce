"""What of a score is held back from a student by the stages of open assignments.

Asked by every view of page, sound and words of a score. A lock ends when its stage is handed
in or its question answered, when the paper is given back, or when the assignment closes for
that student: nobody is locked out for good.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef, Q

from courses.models import Assignment, AssignmentVersion, Extension, Prompt, Score, User
from courses.stages import ways_of


@dataclass(frozen=True)
class Locks:
    """`page`: nothing of it. `line`: one staff alone (see `courses.stages`). `sound`: none.

    `facts`: nothing but the page itself, for a table of it is being filled in.
    """

    page: bool = False
    line: str = ""
    sound: bool = False
    facts: bool = False
    by: AssignmentVersion | None = None

    @property
    def any(self) -> bool:
        return self.page or bool(self.line) or self.sound


OPEN = Locks()


def locks_on(user: User, score: Score, now: datetime) -> Locks:
    """What is held back from `user` of `score`, in all its files, at `now`."""
    if score.tutor_id == user.pk:
        return OPEN
    versions = _staged(user, score, now)
    if not versions:
        return OPEN
    ways = ways_of(versions, user)
    pairs = [(version, ways[version.pk]) for version in versions]
    page = next((v for v, way in pairs if way.recalling), None)
    line = next((v for v, way in pairs if way.line), None)
    sound = next((v for v, way in pairs if way.sound_locked), None)
    return Locks(
        page=page is not None,
        line=ways[line.pk].line if line else "",
        # From memory is from memory of the sound, too.
        sound=sound is not None or page is not None,
        facts=any(way.surveying for _version, way in pairs),
        by=page or line or sound,
    )


def _staged(user: User, score: Score, now: datetime) -> list[AssignmentVersion]:
    """Versions with something to hold back, that are open to this student now."""
    recall = Prompt.objects.filter(
        assignment_version=OuterRef("current"), asking=Prompt.Asking.RECALL
    )
    found = (
        Assignment.objects.reachable_by(user)
        .filter(current__score_version__score=score)
        .filter(Q(current__opens_at=None) | Q(current__opens_at__lte=now))
        .filter(~Q(current__stages=[]) | Exists(recall))
        .select_related("current__assignment")
        .order_by("pk")
    )
    versions = [a.current for a in found if a.current is not None]
    if not versions:
        return []
    later = dict(
        Extension.objects.filter(
            student=user, assignment__in=[v.assignment_id for v in versions]
        ).values_list("assignment", "closes_at")
    )
    return [
        v
        for v in versions
        if v.closes_at is None or max(v.closes_at, later.get(v.assignment_id, v.closes_at)) > now
    ]
