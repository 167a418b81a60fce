"""The tutor's word on a computed fact."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from analysis.models import Overrule
from analysis.signals import overrule_changed
from courses.models import ScoreVersion, User
from courses.services.events import record
from courses.services.places import carry, follow, hold

SAY_WHY = "Say why in a few words: your students may ask."
NOT_IN_SCORE = "This finding is not in the score any more; load the page again."
NOT_LOST = "This word has its place; load the page again."
PART_GONE = (
    "This word speaks of a part that the corrected file does not have. Take it back, and say it "
    "anew where it holds."
)
SAY_WHAT = "Say what it is instead."


@transaction.atomic
def overrule(
    *,
    version: ScoreVersion,
    by: User,
    kind: str,
    movement: int,
    first_bar: int,
    last_bar: int,
    parts: list[dict[str, Any]],
    says: str,
    reason: str,
    overruled: dict[str, Any] | None = None,
    value: dict[str, Any] | None = None,
) -> Overrule:
    """Decide (tutor) or propose (assistant) that a finding is absent, other, or added."""
    if not reason.strip():
        raise ValidationError({"reason": _(SAY_WHY)})
    if says in {Overrule.Says.OTHER, Overrule.Says.ADDED} and not value:
        raise ValidationError({"value": _(SAY_WHAT)})
    _check_place(version, first_bar, last_bar)
    _check_parts(parts)
    hold(version.score_id)
    owner = version.score.tutor_id == by.pk
    row = Overrule(
        version=version,
        by=by,
        kind=kind,
        movement=movement,
        first_bar=first_bar,
        last_bar=last_bar,
        parts=parts,
        says=says,
        reason=reason.strip(),
        overruled=overruled,
        value=value,
        state=Overrule.State.DECIDED if owner else Overrule.State.PROPOSED,
    )
    row.full_clean(exclude=["parts"])  # some findings are of no part: silence, the layout
    row.save()
    follow(row, row, parts_of_a_word)
    record(by, "finding.overruled", row, kind=kind, says=says, state=row.state)
    if owner:
        overrule_changed.send(Overrule, overrule=row)
    return row


def _check_place(version: ScoreVersion, first: Any, last: Any) -> None:
    bars = len(version.canonical.outline["bars"])
    if not (isinstance(first, int) and isinstance(last, int) and 0 <= first <= last < bars):
        raise ValidationError(_(NOT_IN_SCORE))


def _check_parts(parts: Any) -> None:
    """[{"part": id, "player": n|null}], since every check reads them later."""
    for part in parts if isinstance(parts, list) else [None]:
        row = part if isinstance(part, dict) else {}
        if not isinstance(row.get("part"), str) or not isinstance(row.get("player"), int | None):
            raise ValidationError(_(NOT_IN_SCORE))


def parts_of_a_word(place: Any, parts: dict[str, str]) -> dict[str, Any] | None:
    """A word goes to another file with all its parts, or not at all."""
    if any(row["part"] not in parts for row in place.parts):
        return None
    return {
        "parts": [{**row, "part": parts[row["part"]]} for row in place.parts],
        "value": _renamed(place.value, parts),
    }


def _renamed(value: Any, parts: dict[str, str]) -> Any:
    """A claim with its parts by their ids in the other file."""
    if isinstance(value, list):
        return [_renamed(item, parts) for item in value]
    if isinstance(value, dict):
        new = {name: _renamed(item, parts) for name, item in value.items()}
        if isinstance(part := value.get("part"), str):
            new["part"] = parts.get(part, part)
        return new
    return value


def carry_overrules(target: ScoreVersion) -> None:
    """The tutor's words on the score's other files get their places in this one."""
    carry(Overrule.objects.filter(version__score=target.score_id), target, parts_of_a_word)


@transaction.atomic
def place_overrule(
    *, row: Overrule, by: User, version: ScoreVersion, movement: int, first_bar: int, last_bar: int
) -> None:
    """Choose the bars of a word whose place was lost in this file; checks run again."""
    _check_place(version, first_bar, last_bar)
    hold(version.score_id)
    place = row.places.filter(version=version).first()
    if place is None or not place.place_lost:
        raise ValidationError(_(NOT_LOST))
    bars: dict[str, Any] = {
        "movement": movement, "first_bar": first_bar, "last_bar": last_bar,
    }  # fmt: skip
    if row.parts and not place.parts:
        raise ValidationError(_(PART_GONE))
    for name, value in {**bars, "place_lost": False}.items():
        setattr(place, name, value)
    place.save()
    record(by, "finding.overrule-placed", row, **bars)
    overrule_changed.send(Overrule, overrule=row)


@transaction.atomic
def withdraw(*, row: Overrule, by: User) -> None:
    """Take the word back; checks run again."""
    row.state = Overrule.State.WITHDRAWN
    row.save(update_fields=["state"])
    record(by, "finding.overrule-withdrawn", row)
    overrule_changed.send(Overrule, overrule=row)
