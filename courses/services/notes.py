"""The tutor's notes at bars."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from courses.bars import movement_of
from courses.models import Note, NotePlace, ScoreVersion, User
from courses.services.events import record
from courses.services.places import follow, hold, parts_of_a_note

CHANGED_MEANWHILE = "This note was changed in another window. Both texts are kept below."

FIELDS = ("version", "movement", "first_bar", "last_bar", "from_tick", "to_tick", "pass_number",
          "text", "state", "course", "order", "lit", "sounding", "finding",
          "after_release")  # fmt: skip


class Stale(ValidationError):
    """Somebody saved in between (If-Match failed)."""


#: What belongs to a note in one file, and may differ in another.
PLACE = ("movement", "first_bar", "last_bar", "from_tick", "to_tick", "pass_number",
         "lit", "sounding")  # fmt: skip


@transaction.atomic
def write_note(*, author: User, note: Note | None = None, if_match: int | None = None,
               **values: Any) -> Note:  # fmt: skip
    """Create or change a note; `if_match` guards against a silent overwrite.

    `version` says on which file its bars were chosen. In the score's other files the note
    follows where it can, unless its place was lost in this one: then it is set here alone.
    """
    if unknown := set(values) - set(FIELDS):
        raise ValidationError(f"A note has no {min(unknown)}.")
    version = values.get("version") or (note and note.version)
    if isinstance(version, ScoreVersion):
        hold(version.score_id)
    if note is None:
        note = Note(author=author)
        place: Any = note
    elif if_match is not None and if_match != note.revision:
        raise Stale(_(CHANGED_MEANWHILE), code="stale")
    else:
        note.revision += 1
        place = _place_in(note, version)
    was_lost = bool(place.place_lost)
    before = [getattr(place, name) for name in PLACE] if place.pk else None
    for name, value in values.items():
        setattr(place if name in PLACE or name == "version" else note, name, value)
    place.place_lost = False
    note.full_clean(exclude=["author"])
    note.save()
    if place is not note:
        place.full_clean()
        place.save()
    if not was_lost and before != [getattr(place, name) for name in PLACE]:
        follow(note, place, parts_of_a_note)
    record(author, "note.written", note, course=note.course, state=note.state)
    return note


def _place_in(note: Note, version: Any) -> Note | NotePlace:
    """The note itself, or its row in another file."""
    if version.pk == note.version_id:
        return note
    return NotePlace.objects.filter(note=note, version=version).first() or NotePlace(
        note=note, version=version, place_lost=True
    )


@transaction.atomic
def place_note(*, note: Note, by: User, version: ScoreVersion, first: int, last: int) -> Note:
    """Choose a lost note's bars anew; its words stay."""
    place = _place_in(note, version)
    known = {p["id"] for p in version.canonical.outline["parts"]}
    parts: dict[str, Any] = {
        name: [p for p in getattr(place if place.pk else note, name) if p["part"] in known]
        for name in ("lit", "sounding")
    }
    return write_note(
        author=by, note=note, version=version, first_bar=first, last_bar=last,
        movement=movement_of(first, version.canonical.outline), **parts,
    )  # fmt: skip


@transaction.atomic
def delete_note(*, note: Note, by: User) -> None:
    record(by, "note.deleted", note, course=note.course)
    note.delete()
