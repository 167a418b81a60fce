"""What a typed sentence proposes for the form of a statement: help, never a verdict."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError

from analysis import storage
from analysis.engine import places, said_place
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import ScoreTable
from analysis.engine.prose import propose
from analysis.models import Run
from courses.bars import typed
from submissions.kinds import KINDS
from submissions.said import line_of
from submissions.words import typed_from


def proposal_of(sentence: str, run: Run, movement: int = 0) -> dict[str, Any]:
    """The form as the sentence would fill it in, and what it leaves to be asked.

    {"kind": name or None, "kind_label", "says": {field: text}, "bars": text, "said": in a line,
    "questions": [sentences], "notes": [sentences]}. Nothing of the computed reading goes into it.
    """
    table = storage.table_of(run)
    outline = run.copy.outline
    found = propose(sentence, table, movement)
    questions = list(found.questions)
    if found.claim is None:
        return {"kind": None, "kind_label": "", "says": {}, "bars": "", "said": "",
                "questions": questions, "notes": list(found.notes)}  # fmt: skip
    claim = dict(found.claim)
    kind = KINDS[claim["kind"]]
    bars = ""
    if place := claim.pop("bars", None):
        try:
            span = places.resolve(place, table, movement)
            whole = _is_whole(span, table)
            bars = typed(span.first, span.last, outline)
            if not whole:
                bars = said_place.as_typed(place, table, movement) or bars
        except (ClaimNotUnderstood, ValidationError):
            pass  # the question is among them already
    says = typed_from(claim, outline)
    if claim.get("negated"):
        says["negated"] = "on"
    form = kind.form()
    says = {name: value for name, value in says.items() if name in form.fields and value}
    return {
        "kind": kind.name,
        "kind_label": str(kind.label),
        "says": says,
        "bars": bars,
        "said": line_of(kind, says),
        "questions": questions,
        "notes": list(found.notes),
    }


def _is_whole(span: places.Span, table: ScoreTable) -> bool:
    """Whether a place is whole bars, whichever time they are played."""
    bars = (table.bars[span.first].start, table.bars[span.last].end)
    return (span.start, span.end) == bars and span.passes == (None, None)
