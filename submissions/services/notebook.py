"""Writing in one's notebook."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from analysis.selectors import copy_of
from courses.bars import parse_bars, typed
from courses.models import ScoreVersion, User
from submissions.models import NotebookEntry

NO_WORDS = "Write something first."
LONGEST = 10_000  # characters of one entry
TOO_LONG = "That is more than one entry holds: {most} characters."
CHANGED_MEANWHILE = (
    "This entry was changed in another window; nothing was overwritten. What you typed stands "
    "below."
)


def place_in(version: ScoreVersion | None, bars: str) -> dict[str, Any]:
    """Bars as typed, in a score or (without one) just as they were typed."""
    bars = bars.strip()[:60]
    if version is None:
        return {"version": None, "first_bar": None, "last_bar": None, "bars_label": bars}
    found: dict[str, Any] = {"version": version, "score_label": str(version.score)[:310],
                             "first_bar": None, "last_bar": None, "bars_label": ""}  # fmt: skip
    copy = copy_of(version)
    if bars and copy:
        first, last = parse_bars(bars, copy.outline)
        label = typed(first, last, copy.outline)
        found.update(first_bar=first, last_bar=last, bars_label=label)
    return found


@transaction.atomic
def write_entry(
    *, owner: User, client_key: str, text: str, about: str, composer: str = "", **place: Any
) -> NotebookEntry:
    """A new entry; the same key twice is one entry."""
    known = NotebookEntry.objects.filter(owner=owner, client_key=client_key).first()
    if known:
        return known
    entry = NotebookEntry(owner=owner, client_key=client_key, **place)
    _fill(entry, text, about, composer)
    try:
        with transaction.atomic():
            entry.save()
    except IntegrityError:  # the same key from two requests at once
        return NotebookEntry.objects.get(owner=owner, client_key=client_key)
    return entry


@transaction.atomic
def change_entry(
    *, entry: NotebookEntry, number: int, text: str, about: str, composer: str, **place: Any
) -> NotebookEntry:
    """Change an entry unless somebody did in between (code "stale")."""
    moved = NotebookEntry.objects.filter(pk=entry.pk, number=number).update(number=number + 1)
    if not moved:
        raise ValidationError(_(CHANGED_MEANWHILE), code="stale")
    entry.refresh_from_db()
    for name, value in place.items():
        setattr(entry, name, value)
    _fill(entry, text, about, composer)
    entry.save()
    return entry


def _fill(entry: NotebookEntry, text: str, about: str, composer: str) -> None:
    text = text.replace("\x00", "").strip()
    if not text:
        raise ValidationError(_(NO_WORDS))
    if len(text) > LONGEST:
        raise ValidationError(_(TOO_LONG).format(most=LONGEST))
    entry.text = text
    entry.about = about if about in NotebookEntry.About.values else NotebookEntry.About.NOTE
    entry.composer = composer.replace("\x00", "").strip()[:120]
