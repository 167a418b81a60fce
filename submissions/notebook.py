"""A reader's notebook: own notes, things composers do, own statements and finds; found by words.

Search asks the database, the same on SQLite and PostgreSQL: every word must stand somewhere
in an entry, in any case of letters.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from django.db.models import F, OuterRef, Q, QuerySet, Subquery

from analysis.models import CanonicalCopy
from courses.models import User
from submissions.kinds import KINDS, kind_of
from submissions.models import Find, Message, NotebookEntry, Observation, ObservationVersion
from submissions.places import place_label, span_label
from submissions.said import in_a_line

MOST_WORDS = 8
_IN_ENTRY = ("text", "composer", "score_label", "bars_label")
_IN_STATEMENT = (
    "words",
    "doubt",
    "version__score__title",
    "version__score__work__title",
    "version__score__work__composer",
    "observation__paper__assignment__title",
)

_IN_FIND = (
    "title",
    "said",
    "version__score__title",
    "version__score__work__title",
    "version__score__work__composer",
)


def words_of(query: str) -> list[str]:
    """The words looked for; signs that no text can hold are dropped."""
    return query.replace("\x00", " ").split()[:MOST_WORDS]


def _somewhere(word: str, fields: Iterable[str]) -> Q:
    """Letters of any case, also beyond ASCII, which LIKE of SQLite does not know."""
    pattern = re.escape(word)
    found = Q()
    for name in fields:
        found |= Q(**{f"{name}__iregex": pattern})
    return found


def entries_of(user: User, query: str = "", about: str = "") -> QuerySet[NotebookEntry]:
    """Own entries, the newest first."""
    found = NotebookEntry.objects.filter(owner=user)
    if about:
        found = found.filter(about=about)
    for word in words_of(query):
        found = found.filter(_somewhere(word, _IN_ENTRY))
    return found


def statements_of(user: User, query: str = "") -> QuerySet[ObservationVersion]:
    """Own statements as they stand, of all papers and courses, past ones too."""
    found = ObservationVersion.objects.filter(
        observation__student=user, number=F("observation__number")
    ).exclude(observation__state=Observation.State.WITHDRAWN)
    for word in words_of(query):
        kinds = [k.name for k in KINDS.values() if word.casefold() in str(k.label).casefold()]
        found = found.filter(_somewhere(word, _IN_STATEMENT) | Q(kind__in=kinds))
    return found.select_related(
        "observation__paper__assignment__course", "version__score__work"
    ).order_by("-observation__id")


def finds_of(user: User, query: str = "") -> QuerySet[Find]:
    """Own finds, the newest first; `said` is what one wrote oneself, no answer to it."""
    own = Message.objects.filter(find=OuterRef("pk"), author=user).order_by("pk")
    found = Find.objects.filter(student=user).annotate(said=Subquery(own.values("text")[:1]))
    for word in words_of(query):
        found = found.filter(_somewhere(word, _IN_FIND))
    return found.select_related("course", "version__score__work").order_by("-pk")


def outlines_of(
    statements: Iterable[ObservationVersion | Find],
) -> dict[int | None, dict[str, Any]]:
    """Labels of bars and parts, by file; one question, each file's labels once."""
    files = {s.version_id for s in statements if s.version_id}
    rows = CanonicalCopy.objects.filter(version__in=files).values_list("version", "outline")
    return dict(rows)


def statement_row(
    statement: ObservationVersion, outlines: Mapping[int | None, dict[str, Any]]
) -> dict[str, Any]:
    """A statement as the notebook shows it: own words alone, no flag and no reply."""
    outline = outlines.get(statement.version_id, {"bars": [], "parts": []})
    assignment = statement.observation.paper.assignment
    return {
        "id": str(statement.observation.public_id),
        "kind": str(kind_of(statement.kind).label),
        "said": in_a_line(statement, outline),
        "words": statement.words,
        "sense": str(statement.get_sense_display()),
        "doubt": statement.doubt,
        "bars": place_label(statement, outline),
        "score": str(statement.version.score) if statement.version else "",
        "composer": statement.version.score.work.composer if statement.version else "",
        "assignment": assignment.title,
        "course": assignment.course.title,
        "at": statement.at,
    }


def find_row(find: Any, outlines: Mapping[int | None, dict[str, Any]]) -> dict[str, Any]:
    """A find of `finds_of` as the notebook shows it: own words alone."""
    outline = outlines.get(find.version_id, {"bars": [], "parts": []})
    return {
        "id": str(find.public_id),
        "title": find.title,
        "text": find.said or "",
        "bars": "" if find.place_lost else span_label(outline, find.first_bar, find.last_bar),
        "score": str(find.version.score),
        "composer": find.version.score.work.composer,
        "course": find.course.title,
        "at": find.created_at,
    }


def entry_row(entry: NotebookEntry) -> dict[str, Any]:
    return {
        "id": str(entry.public_id),
        "about": entry.about,
        "composer": entry.composer,
        "text": entry.text,
        "score": entry.score_label,
        "bars": entry.bars_label,
        "at": entry.made_at,
    }
