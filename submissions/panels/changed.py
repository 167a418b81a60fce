"""Flags that are not what they were: old and new, why, and which of them wait for the tutor."""

from __future__ import annotations

from typing import Any

from analysis.jobs.selectors import state_of
from analysis.models import CanonicalCopy
from courses.models import Assignment
from submissions.changes import changes_of, stale_of, stopped
from submissions.kinds import kind_of
from submissions.places import span_label
from submissions.strictness import in_words

MOST = 3  # stopped comparisons shown with their buttons


def data(assignment: Assignment) -> dict[str, Any]:
    """{"rows", "asking", "stale", "stopped", "strict"}; rows of change, bars, kind, student."""
    version = assignment.current
    changes = changes_of(assignment)
    files = {c.statement.version_id for c in changes}
    outlines = dict(
        CanonicalCopy.objects.filter(version__in=files).values_list("version", "outline")
        if files
        else ()
    )
    rows = [
        {
            "change": change,
            "bars": span_label(
                outlines.get(change.statement.version_id or 0, {"bars": []}),
                change.statement.first_bar,
                change.statement.last_bar,
            ),
            "kind": kind_of(change.statement.kind).label,
            "student": change.statement.observation.student,
        }
        for change in changes
    ]
    return {
        "rows": rows,
        "asking": sum(change.asks for change in changes),
        "stale": stale_of(assignment),
        "stopped": [state_of(job, assignment.course.tutor) for job in stopped(assignment)[:MOST]],
        "strict": in_words(version.settings, version.kinds) if version else [],
    }
