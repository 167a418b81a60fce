"""The page as the class surveyed it: what to speak of before any note."""

from __future__ import annotations

from typing import Any

from analysis.selectors import copy_of
from courses.models import Assignment
from submissions.models import Survey
from submissions.survey_page import counts_of, table_of


def data(assignment: Assignment) -> dict[str, Any]:
    """A row for each survey that was handed in: its marks, and the cells to look at."""
    version = assignment.current
    asked = bool(version and any(stage.get("table") for stage in version.stages))
    copy = copy_of(version.score_version) if version and asked else None
    if copy is None:
        return {"asked": asked, "rows": []}
    found = Survey.objects.filter(paper__assignment=assignment, compared_at__isnull=False)
    rows = []
    for survey in found.select_related("paper__student").order_by("paper__student__display_name"):
        table = table_of(survey, copy.outline, told=True)
        staves = [
            {"where": f"{row['number']} {row['label']}", "cell": cell}
            for row in table["rows"]
            for cell in row["cells"]
        ]
        questions = [{"where": "", "cell": cell} for cell in table["questions"]]
        rows.append(
            {
                "student": survey.paper.student,
                "counts": [n for _mark, n in counts_of(survey)],
                "open": [
                    entry
                    for entry in (*staves, *questions)
                    if entry["cell"].seen in ("look-again", "ask")
                ],
            }
        )
    return {"asked": asked, "rows": rows}
