"""The worker's side of engraved pages: page by page, the first at once."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from analysis import storage
from analysis.engine import engrave as engine
from analysis.engine.engrave.doors import Engraved, again
from analysis.engine.engrave.view import View
from analysis.engine.process import Stopped
from analysis.jobs.models import Job
from analysis.jobs.worker import CannotBeDone, once, progress
from analysis.models import CanonicalCopy, Engraving
from analysis.services.engravings import readings_of
from courses.models import PartsRevision

AT_ONCE = 2  # pages drawn before anything is shown
TILES_AT_ONCE = 4  # of a strip: what a page asks for together
BATCH = 24

NOT_ENGRAVED = (
    "This passage could not be engraved: {why} Choose fewer bars or parts, or tell your tutor."
)


def engrave(job: Job) -> None:
    """Draw a view; every batch of pages is kept as soon as it is drawn."""
    copy = CanonicalCopy.objects.get(pk=job.payload["copy"])
    view = View.from_dict(job.payload["view"])
    key = job.payload["key"]
    revision = PartsRevision.objects.filter(pk=job.payload["revision"]).first()
    readings = readings_of(revision)
    progress(job, 5, "engraving the first page")
    try:
        made = _open(copy, view, readings)
        _keep_book(job, copy, view, key, readings, made)
        _keep_pages(job, copy, key, job.payload["view"], made.svg)
        rest = [n for n in range(1, made.pages + 1) if n not in made.svg]
        for at in range(0, len(rest), BATCH):
            batch = rest[at : at + BATCH]
            progress(job, 10 + 90 * at // len(rest), f"engraving page {batch[0]} of {made.pages}")
            drawn = engine.pages(made, view, batch, readings)
            _keep_pages(job, copy, key, job.payload["view"], drawn)
    except Stopped as stopped:
        raise CannotBeDone(NOT_ENGRAVED.format(why=str(stopped))) from stopped


def _open(copy: CanonicalCopy, view: View, readings: list[Any]) -> Engraved:
    """From the engraver's own copy where a view of the same parts was made before."""
    source = view.source_key(readings)
    book = Engraving.objects.filter(copy=copy, page=0, view__source=source).exclude(file="").first()
    first = TILES_AT_ONCE if view.layout == "strip" else AT_ONCE
    if book is None:
        return engine.open_view(storage.get(copy.file), view, readings, first=first)
    known = Engraved(
        pages=0,
        svg={},
        first_bar=0,
        page_of=[],
        staves=[(int(i), str(p)) for i, p in book.view["staves"]],
        bars=book.view["bars"],
        mei=storage.get(book.file),
    )
    made = again(known, view, readings, first=first)
    made.mei = known.mei
    return made


def _keep_book(
    job: Job, copy: CanonicalCopy, view: View, key: str, readings: list[Any], made: Engraved
) -> None:
    with transaction.atomic(), once(job, f"engraved:{copy.pk}:{key}:0") as first:
        if not first:
            return
        row = Engraving(
            copy=copy,
            view_key=key,
            page=0,
            pages=made.pages,
            view={
                "view": view.as_dict(),
                "source": view.source_key(readings),
                "staves": [list(s) for s in made.staves],
                "bars": made.bars,
                "first_bar": made.first_bar,
                "page_of": made.page_of,
            },
        )
        storage.put(row.file, made.mei)
        row.save()


def _keep_pages(
    job: Job, copy: CanonicalCopy, key: str, view: dict[str, Any], drawn: dict[int, bytes]
) -> None:
    for number, svg in sorted(drawn.items()):
        with transaction.atomic(), once(job, f"engraved:{copy.pk}:{key}:{number}") as first:
            if first:
                row = Engraving(copy=copy, view_key=key, page=number, view={})
                storage.put(row.file, svg)
                row.save()
