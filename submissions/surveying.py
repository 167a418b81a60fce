"""A survey held against the page, once, when its stage is handed in."""

from __future__ import annotations

from datetime import datetime

from analysis import storage
from analysis.engine.survey import compare
from analysis.selectors import current_run
from courses.models import AssignmentVersion
from courses.stages import Kind
from submissions.models import Paper, Survey

FIRST_BARS = 8  # of the movement: the page surveyed where no prompt says more


def place_of(version: AssignmentVersion, last_bar: int) -> tuple[int, int]:
    """Bars of the page: those its stage asks about, else the beginning of what is read."""
    prompts = list(version.prompts.order_by("order"))
    for prompt in prompts:
        if prompt.stage == Kind.SURVEY:
            return prompt.first_bar, prompt.last_bar
    first = prompts[0].first_bar if prompts else 0
    return first, min(first + FIRST_BARS - 1, last_bar)


def compare_survey(paper: Paper, now: datetime) -> None:
    """Put the marks beside the cells; nothing where there is no survey, or it has its marks.

    Without a reading it stays as it is, and is compared when the paper is given back.
    """
    survey = Survey.objects.filter(paper=paper, compared_at=None).first()
    version = paper.assignment.current
    run = current_run(version.score_version) if version else None
    if survey is None or version is None or run is None:
        return
    table = storage.table_of(run)
    found = compare(table, survey.cells, *place_of(version, len(table.bars) - 1))
    survey.seen = {name: cell.seen for name, cell in found.items()}
    survey.page = {name: cell.page for name, cell in found.items() if cell.page}
    survey.run, survey.compared_at = run, now
    survey.save(update_fields=["seen", "page", "run", "compared_at"])
