"""Writing the table of the page, cell by cell, until its stage is handed in."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from analysis.engine.survey import MOST_LETTERS, cell_names
from courses.models import User
from courses.stages import Kind
from submissions.models import Paper, Survey
from submissions.services.opening import ALREADY_RELEASED, locked, may_write
from submissions.services.stages import CLOSED, FIXED, NOT_HERE, way_on

NO_SUCH_CELL = "The table has no such cell; load the page again."
TOO_LONG = "A cell takes {n} letters at most; say more in a statement."


@transaction.atomic
def keep_cells(
    *, paper: Paper, student: User, cells: Mapping[str, str], staves: int, now: datetime
) -> Survey:
    """Keep these cells as typed, and the others as they are: two windows lose nothing.

    ValidationError: the table is not being filled in now, or has no such cell.
    """
    paper = locked(paper)
    if paper.student_id != student.pk or not may_write(paper, now):
        raise ValidationError(_(ALREADY_RELEASED), code="released")
    way = way_on(paper)
    if not way.surveying:
        raise ValidationError(_(FIXED), code="fixed")
    if way.current is None or way.current["kind"] != Kind.SURVEY:
        raise ValidationError(_(NOT_HERE), code="elsewhere")
    if way.recalling:
        raise ValidationError(_(CLOSED), code="closed")
    if set(cells) - set(cell_names(staves)):
        raise ValidationError(_(NO_SUCH_CELL), code="no-cell")
    if any(len(text) > MOST_LETTERS for text in cells.values()):
        raise ValidationError(_(TOO_LONG).format(n=MOST_LETTERS), code="too-long")
    survey, _made = Survey.objects.get_or_create(paper=paper)
    kept = {**survey.cells, **{name: text.strip() for name, text in cells.items()}}
    survey.cells = {name: text for name, text in kept.items() if text}
    survey.save(update_fields=["cells", "changed_at"])
    return survey
