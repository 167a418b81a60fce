"""The short score of some bars, for the tutor: it says what was computed, so nobody else has it."""

from __future__ import annotations

import uuid

from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext
from django.views.decorators.http import require_GET

from analysis import storage
from analysis.engine.claims.speech import render as say
from analysis.engine.errors import EngineError
from analysis.engine.reduce import bars_of
from analysis.models import Engraving
from analysis.selectors import current_run, version_asked
from analysis.services.engravings import SHEETS
from analysis.services.reductions import REDUCED, ask_reduction
from analysis.views.answers import page_answer, state_answer
from courses.access import SignedRequest, own_score, tutor_required


@require_GET
@tutor_required
def state(request: SignedRequest, score_id: uuid.UUID) -> HttpResponse:
    """JSON: key and pages as of any view, and who plays what, in sentences."""
    score = own_score(request.user, score_id)
    version = version_asked(score, request.GET.get("file"))
    run = current_run(version) if version else None
    if run is None:
        raise Http404
    first = request.GET.get("first", "0")
    last = request.GET.get("last", first)
    if not (first.isdecimal() and last.isdecimal()):
        raise Http404
    try:
        p = bars_of(storage.table_of(run), int(first), int(last))
    except EngineError as error:
        return JsonResponse({"detail": str(error)}, status=400)
    width = SHEETS.get(request.GET.get("sheet", ""), 210)
    key, book, job = ask_reduction(run, p.first, p.last, width)
    said = book.view.get("said", ()) if book else ()
    sentences = [say(sentence, gettext) for sentence in said]
    return state_answer(key, book, job, request.user, said=sentences)


@require_GET
@tutor_required
def page(request: SignedRequest, score_id: uuid.UUID, key: str, page: int) -> HttpResponse:
    """One engraved page of a short score; its content never changes."""
    score = own_score(request.user, score_id)
    if not key.startswith(REDUCED):
        raise Http404
    rows = Engraving.objects.exclude(page=0).filter(copy__version__score=score)
    row = get_object_or_404(rows, view_key=key, page=page)
    return page_answer(row)
