"""Confirming what the parts are taken for. Every act is a new, immutable revision."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from courses.models import PartsRevision, ScoreVersion, User
from courses.services.events import record
from courses.signals import parts_changed

NO_PARTS_YET = "The parts are not known yet: the file is still being read."
UNKNOWN_PART = "There is no such part."
DOUBT_NEEDS_OWN_ACT = "{label}: there is a doubt; look at it and confirm it by itself."

#: What a tutor may change about a part.
EDITABLE = ("instrument", "family", "transposition", "diatonic", "crook", "players",
            "octave_switch", "old_bass_clef")  # fmt: skip


def part_key(part: dict[str, Any]) -> str:
    """A part reading's name in forms: id and the bar it begins at."""
    return f"{part['id']}@{part['from_bar']}"


def latest_revision(version: ScoreVersion) -> PartsRevision | None:
    return version.parts_revisions.order_by("-number").first()


@transaction.atomic
def propose_parts(version: ScoreVersion, parts: list[dict[str, Any]]) -> PartsRevision:
    """The engine's own reading, before anybody confirmed anything."""
    first = version.parts_revisions.order_by("number").first()
    if first:
        return first
    rows = [{**part, "confirmed": False} for part in parts]
    return PartsRevision.objects.create(version=version, number=1, parts=rows)


@transaction.atomic
def confirm_parts(
    *,
    version: ScoreVersion,
    by: User,
    keys: list[str],
    changes: dict[str, dict[str, Any]] | None = None,
    together: bool = False,
) -> PartsRevision:
    """Confirm the parts named by `keys`, with what the tutor changed about them.

    `together` is the one act for all doubt-free parts: a doubtful part in it
    is refused, each doubt needs its own act.
    """
    base = latest_revision(version)
    if base is None:
        raise ValidationError(_(NO_PARTS_YET))
    rows = [dict(part) for part in base.parts]
    by_key = {part_key(row): row for row in rows}
    for key in [*keys, *(changes or {})]:
        if key not in by_key:
            raise ValidationError(_(UNKNOWN_PART))
    for key, change in (changes or {}).items():
        by_key[key].update({k: v for k, v in change.items() if k in EDITABLE})
        by_key[key]["confirmed"] = False
    for key in keys:
        row = by_key[key]
        if together and row.get("doubt"):
            raise ValidationError(_(DOUBT_NEEDS_OWN_ACT).format(label=row["label"]))
        row["confirmed"] = True
    if rows == base.parts:
        return base
    revision = PartsRevision.objects.create(
        version=version,
        number=base.number + 1,
        parts=rows,
        complete=all(row["confirmed"] for row in rows),
        by=by,
    )
    record(by, "parts.confirmed", version, revision=revision.number, parts=len(keys))
    if revision.complete:
        parts_changed.send(PartsRevision, revision=revision)
    return revision
