"""Short scores: asked for by the tutor's page, made by the worker, kept by what they depend on."""

from __future__ import annotations

import hashlib
import json

from django.db import transaction

from analysis.engine.engrave.view import ENGRAVING_VERSION
from analysis.engine.reduce import REDUCTION_VERSION
from analysis.jobs.models import Job
from analysis.jobs.queue import enqueue
from analysis.models import Engraving, Run
from analysis.selectors import overrule_revision, overrules_in_force

#: How the keys of short scores begin. They say what was computed, so that the door to engraved
#: pages, which students share, must not open them.
REDUCED = "reduced-"


def reduction_key(run: Run, first: int, last: int, width: int) -> str:
    """Equal keys, equal pages: the run, the tutor's word, the bars, the sheet."""
    word = overrule_revision(overrules_in_force(run.copy.version))
    parts = [ENGRAVING_VERSION, REDUCTION_VERSION, run.pk, word, first, last, width]
    return REDUCED + hashlib.sha256(json.dumps(parts).encode()).hexdigest()[:40]


@transaction.atomic
def ask_reduction(
    run: Run, first: int, last: int, width: int
) -> tuple[str, Engraving | None, Job | None]:
    """(key, book-keeping row or None, job while there is something to wait for)."""
    key = reduction_key(run, first, last, width)
    book = Engraving.objects.filter(copy=run.copy, view_key=key, page=0).first()
    if book and book.page_count_ready() >= book.pages:
        return key, book, None
    job = enqueue(
        "reduce",
        key=f"reduce:{run.pk}:{key}",
        payload={"run": run.pk, "key": key, "first": first, "last": last, "width": width},
        klass=Job.Klass.INTERACTIVE,
        tutor=run.copy.version.score.tutor,
    )
    return key, book, job
