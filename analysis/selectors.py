"""Reading rows of runs and overrules. Findings themselves: analysis.effective."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from typing import Any

from django.db.models import Q

from analysis.models import CanonicalCopy, FindingRow, Overrule, Run
from courses.ids import as_id
from courses.models import Score, ScoreVersion, User
from courses.places import placed


def current_run(version: ScoreVersion) -> Run | None:
    """The run pages and checks use, or None while there is none."""
    return (
        Run.objects.select_related("copy__version__score", "parts_revision")
        .filter(copy__version=version, current=True, state=Run.State.READY)
        .first()
    )


def latest_version(score: Score) -> ScoreVersion | None:
    """The newest file, whatever became of it."""
    return score.versions.order_by("-number").first()


def read_version(score: Score) -> ScoreVersion | None:
    """The newest file with a reading: what students meet where no assignment stands on another."""
    return _read(score.versions.all()).first()


def _read(versions: Any) -> Any:
    return versions.filter(
        canonical__runs__current=True, canonical__runs__state=Run.State.READY
    ).order_by("-number")


def readable_versions(user: User) -> Any:
    """Files the user may read: all of the own library, of a course's scores the read ones."""
    files = ScoreVersion.objects.filter(score__in=Score.objects.readable_by(user))
    return files.filter(Q(score__tutor=user) | Q(pk__in=_read(ScoreVersion.objects).values("pk")))


def shown_version(score: Score) -> ScoreVersion | None:
    """The file the tutor's page shows: the newest that is read, else the newest."""
    return read_version(score) or latest_version(score)


def gated_version(score: Score) -> ScoreVersion | None:
    """The newest file whose parts are known, else the newest."""
    known = score.versions.filter(parts_revisions__isnull=False)
    return known.order_by("-number").first() or latest_version(score)


def version_asked(score: Score, public_id: object) -> ScoreVersion | None:
    """The file a page's form was made on; the one shown now where it names none of the score."""
    named = score.versions.filter(public_id=as_id(public_id), canonical__isnull=False)
    return named.first() or shown_version(score)


def copy_of(version: ScoreVersion) -> CanonicalCopy | None:
    return CanonicalCopy.objects.filter(version=version).first()


def overrules_on(version: ScoreVersion) -> list[Overrule]:
    """The tutor's words on the score as they stand in one of its files, for reading only.

    A word without a place there has `place_lost` and keeps the place in its own file.
    """
    found = (
        Overrule.objects.filter(version__score=version.score_id, state=Overrule.State.DECIDED)
        .prefetch_related("places")
        .order_by("at", "id")
    )
    return [placed(word, version, ("parts", "value")) for word in found]


def overrules_in_force(version: ScoreVersion) -> list[Overrule]:
    return [word for word in overrules_on(version) if not word.place_lost]


def overrule_revision(overrules: list[Overrule]) -> str:
    """A hash that changes whenever the tutor's word on this score, or its place, changes."""
    return revision_of(overrule_marks(overrules))


def overrule_marks(overrules: list[Overrule]) -> list[str]:
    """One mark a word: its public id, and after an @ its bars where these may move."""
    return [_mark(o) for o in overrules]


def revision_of(marks: Iterable[str]) -> str:
    return hashlib.sha256(",".join(marks).encode()).hexdigest()


def _mark(word: Overrule) -> str:
    """A word in its own file never moves; in another one its bars may be chosen anew."""
    there = any(p.version_id == word.version_id for p in word.places.all())
    return f"{word.public_id}@{word.first_bar}-{word.last_bar}" if there else str(word.public_id)


def rows_in(run: Run, first: int, last: int) -> Any:
    """Search rows (not yet overruled) for counts and suggestions to the tutor."""
    return FindingRow.objects.filter(run=run, first_bar__lte=last, last_bar__gte=first)
