"""Views of a score: asked for by pages, made by the worker, kept by what they depend on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from django.db import transaction

from analysis.engine.engrave.view import View
from analysis.engine.errors import EngineError
from analysis.engine.model import PartReading
from analysis.engine.sound import SOUND_VERSION
from analysis.jobs.models import Job
from analysis.jobs.queue import enqueue
from analysis.models import CanonicalCopy, Engraving, Run, Sound
from analysis.readings import part_from_dict
from courses.models import PartsRevision, Score
from courses.services.parts import latest_revision

#: Sheets a page may ask for, in mm: large print, a telephone's, an excerpt's; else a full page.
SHEETS = {"80": 80, "110": 110, "150": 150}


#: Staves of our own making a page may ask for.
_MADE: dict[str, Literal["players", "pairs", "low"]] = {
    "players": "players",
    "pairs": "pairs",
    "low": "low",
}


def readings_of(revision: PartsRevision | None) -> list[PartReading]:
    return [part_from_dict(row) for row in revision.parts] if revision else []


def view_from_query(query: Mapping[str, str], outline: dict[str, Any]) -> View:
    """A view out of a page's query; EngineError with a sentence if it makes no sense."""
    index = {p["id"]: p["index"] for p in outline["parts"]}
    parts = [index[p] for p in query.get("parts", "").split(",") if p in index]
    bars = None
    if query.get("first", "").isdecimal():
        first = int(query["first"])
        last = int(query["last"]) if query.get("last", "").isdecimal() else first
        if last >= len(outline["bars"]) or first > last:
            raise EngineError("These bars are not in the score.")
        bars = (first, last)
    strip = query.get("layout") == "strip"
    few = bool(parts) and len(parts) <= 6
    own = query.get("staves") == "part" and len(set(parts)) == 1  # as its player has it
    return View(
        parts=tuple(sorted(set(parts))),
        pitch="sounding" if query.get("pitch") == "sounding" and not own else "written",
        bars=bars,
        staff=5.5 if few and not strip else 4.5,
        width=210 if strip else SHEETS.get(query.get("sheet", ""), 210),
        layout="strip" if strip else "pages",
        hide_resting=query.get("resting") == "hide",
        staves=_MADE.get(query.get("staves", ""), "printed"),
        rests="counted" if own and not strip else "bars",
    )


@transaction.atomic
def ask_view(copy: CanonicalCopy, view: View) -> tuple[str, Engraving | None, Job | None]:
    """(key, book-keeping row or None, job while there is something to wait for)."""
    revision = latest_revision(copy.version)
    key = view.key(readings_of(revision))
    book = Engraving.objects.filter(copy=copy, view_key=key, page=0).first()
    if book and book.pages and book.page_count_ready() >= book.pages:
        return key, book, None
    job = enqueue(
        "engrave",
        key=f"engrave:{copy.pk}:{key}",
        payload={
            "copy": copy.pk,
            "key": key,
            "view": view.as_dict(),
            "revision": revision.pk if revision else None,
        },
        klass=Job.Klass.INTERACTIVE,
        tutor=copy.version.score.tutor,
    )
    return key, book, job


@transaction.atomic
def ask_sound(run: Run) -> Sound | Job:
    """The sound of a run, or the job that makes it."""
    sound = Sound.objects.filter(run=run, version=SOUND_VERSION).first()
    if sound:
        return sound
    return enqueue(
        "sound",
        key=f"sound:{run.pk}:{SOUND_VERSION}",
        payload={"run": run.pk},
        klass=Job.Klass.INTERACTIVE,
        tutor=run.copy.version.score.tutor,
    )


def may_see_job(user: Any, job: Job) -> bool:
    """Whoever may read the score may see how far its page is."""
    if "copy" in job.payload:
        scores = Score.objects.filter(versions__canonical=job.payload["copy"])
    else:
        scores = Score.objects.filter(versions__canonical__runs=job.payload["run"])
    return Score.objects.readable_by(user).filter(pk__in=scores.values("pk")).exists()
