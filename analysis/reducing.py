"""The worker's side of short scores: reduced, engraved, kept with what their notes came from."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from lxml import etree

from analysis import storage
from analysis.effective import effective_findings
from analysis.engine import engrave as engine
from analysis.engine.claims.speech import as_json
from analysis.engine.engrave.view import View
from analysis.engine.process import Stopped
from analysis.engine.reduce import Reduction, reduced
from analysis.engraving import NOT_ENGRAVED
from analysis.jobs.models import Job
from analysis.jobs.worker import CannotBeDone, once, progress
from analysis.models import Engraving, Run


def reduce(job: Job) -> None:
    """Make and draw the short score of some bars of a run."""
    run = Run.objects.select_related("copy__version__score").get(pk=job.payload["run"])
    first, last = job.payload["first"], job.payload["last"]
    progress(job, 10, "making the short score")
    short = reduced(storage.table_of(run), first, last, effective_findings(run))
    pages: dict[int, bytes] = {}
    page_of: list[int] = []
    if short.xml:
        progress(job, 40, "engraving it")
        try:
            drawn = engine.passage(short.xml, sheet(job.payload["width"]))
        except Stopped as stopped:
            raise CannotBeDone(NOT_ENGRAVED.format(why=str(stopped))) from stopped
        page_of = drawn.page_of
        pages = {n: placed(svg, first, short.sources) for n, svg in drawn.svg.items()}
    _keep(job, run, short, pages, page_of)


def sheet(width: int) -> View:
    """Few staves are drawn large, on a telephone's sheet (110 mm) larger still."""
    return View(width=width, staff=6.5 if width <= 110 else 5.5)


def placed(svg: bytes, first: int, sources: Mapping[str, tuple[str, ...]]) -> bytes:
    """An engraved short score with the score's bar indices and note ids.

    Bars count from 0 in it, notes have ids of their own. Afterwards a bar has its index in the
    score, a note the id of the first note behind it, and ``data-from`` the ids of all.
    """
    root = etree.fromstring(svg)
    for element in root.iter():
        own, bar = element.get("data-id", ""), element.get("data-bar")
        if bar is not None:
            element.set("data-bar", str(int(bar) + first))
            element.set("data-id", f"b{int(bar) + first}")
        elif own in sources:
            element.set("data-id", sources[own][0])
            element.set("data-from", " ".join(sources[own]))
        elif own:
            del element.attrib["data-id"]
    return etree.tostring(root, encoding="utf-8")


def _keep(
    job: Job, run: Run, short: Reduction, pages: Mapping[int, bytes], page_of: list[int]
) -> None:
    key = job.payload["key"]
    with transaction.atomic(), once(job, f"reduced:{run.copy_id}:{key}") as is_first:
        if not is_first:
            return
        said: dict[str, Any] = {
            "reduction": {"first": short.first, "last": short.last, "staves": list(short.staves)},
            "said": as_json(short.sentences),
            "page_of": page_of,
        }
        Engraving.objects.create(copy=run.copy, view_key=key, page=0, pages=len(pages), view=said)
        for number, svg in sorted(pages.items()):
            row = Engraving(copy=run.copy, view_key=key, page=number, view={})
            storage.put(row.file, svg)
            row.save()
