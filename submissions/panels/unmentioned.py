"""What nobody has mentioned yet."""

from __future__ import annotations

from typing import Any

from analysis.selectors import current_run
from courses.bars import typed
from courses.models import Assignment
from submissions.places import span_label
from submissions.unmentioned import not_mentioned


def data(assignment: Assignment) -> dict[str, Any]:
    version = assignment.current
    run = current_run(version.score_version) if version else None
    if run is None:
        return {"rows": []}
    rows = not_mentioned(assignment, run)
    for row in rows:
        row["bars"] = span_label(run.copy.outline, row["first"], row["last"])
        row["typed"] = typed(row["first"], row["last"], run.copy.outline)
    return {"rows": rows}
