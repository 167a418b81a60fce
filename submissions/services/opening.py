"""Whether a paper can be written on, and holding it while something is."""

from __future__ import annotations

from datetime import datetime

from courses.models import Assignment
from submissions.models import Paper

ALREADY_RELEASED = "This paper has been given back; nothing can be added to it."


def may_write(paper: Paper, now: datetime) -> bool:
    """A paper can be written on until it is given back; after closing it is marked late."""
    version = paper.assignment.current
    return (
        paper.state != Paper.State.RELEASED
        and paper.assignment.state == Assignment.State.PUBLISHED
        and version is not None
        and (version.opens_at is None or version.opens_at <= now)
    )


def locked(paper: Paper) -> Paper:
    """The paper as it is now, held until the transaction ends: nothing slips in after release."""
    held = Paper.objects.select_for_update(of=("self",))
    return held.select_related("assignment__course__tutor", "assignment__current").get(pk=paper.pk)
