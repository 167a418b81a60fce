"""The tutor's notes as a student meets them: in the margin, and as stops of a walk."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from courses.models import Course, Note, ScoreVersion, User
from courses.places import notes_in
from submissions.places import span_label
from submissions.sight import seen_of


def notes_for(
    user: User, course: Course, version: ScoreVersion, outline: dict[str, Any], now: datetime
) -> list[dict[str, Any]]:
    """Published notes the user may see, stops in their order, then by bars."""
    found = notes_in(version, course=course, state=Note.State.PUBLISHED)
    notes = [note for note in found if not note.place_lost]
    rows = [as_row(n, outline) for n in seen_of(user, notes, now)]
    return sorted(rows, key=lambda r: (r["order"] is None, r["order"] or 0, r["first"]))


def as_row(note: Note, outline: dict[str, Any]) -> dict[str, Any]:
    return {
        "id": str(note.public_id),
        "first": note.first_bar,
        "last": note.last_bar,
        "bars": span_label(outline, note.first_bar, note.last_bar),
        "text": note.text,
        "order": note.order,
        "lit": [p["part"] for p in note.lit],
        "sounding": [p["part"] for p in note.sounding],
        "by": str(note.author),
        "state": note.state,
    }
