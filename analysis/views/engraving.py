"""Pages of a score as SVG, and its sound. For whoever may read the score.

What the stages of an assignment hold back from a student (`courses.locks`) is not there.
"""

from __future__ import annotations

import uuid

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import conditional_page, require_GET

from analysis import storage
from analysis.engine.errors import EngineError
from analysis.jobs.models import Job
from analysis.models import CanonicalCopy, Engraving, Run, Sound
from analysis.selectors import current_run, readable_versions
from analysis.services.engravings import ask_sound, ask_view, view_from_query
from analysis.services.orders import ORDERS, sound_in
from analysis.services.reductions import REDUCED
from analysis.views.answers import page_answer, state_answer
from courses.access import SignedRequest
from courses.locks import Locks, locks_on
from courses.stages import ANY_ONE


def _copy(request: SignedRequest, version_id: uuid.UUID) -> CanonicalCopy:
    """One file of a score: pages name the one their places belong to."""
    found = CanonicalCopy.objects.select_related("version__score")
    return get_object_or_404(
        found, version__in=readable_versions(request.user), version__public_id=version_id
    )


#: Of a page's query, what leaves the page as it is printed.
PRINTED = frozenset({"first", "last", "parts", "layout", "sheet", "resting"})


def _locks(request: SignedRequest, copy: CanonicalCopy) -> Locks:
    """What is held back of the page now; its `line` is one of this file.

    Nothing while the page is closed, nor where another file of the score has no such part.
    """
    locks = locks_on(request.user, copy.version.score, timezone.now())
    there = locks.line in {"", ANY_ONE, *(p["id"] for p in copy.outline["parts"])}
    if locks.page or not there:
        raise Http404
    return locks


def _one_part(line: str, asked: str, copy: CanonicalCopy) -> str:
    """The part to be shown: the line itself, or of the student's choice the first one named."""
    ids = [p["id"] for p in copy.outline["parts"]]
    chosen = [part for part in asked.split(",") if part in ids]
    return (chosen or ids)[0] if line == ANY_ONE else line


def _shows_only(copy: CanonicalCopy, key: str, line: str) -> bool:
    """Whether a view that was made is of one part, of this one if it is named.

    Its first row says of which parts it is made.
    """
    book = Engraving.objects.filter(copy=copy, view_key=key, page=0).first()
    shown = (book.view.get("view", {}).get("parts") or []) if book else []
    mine = {p["index"] for p in copy.outline["parts"] if line in {ANY_ONE, p["id"]}}
    return len(shown) == 1 and shown[0] in mine


def _as_printed(copy: CanonicalCopy, key: str) -> bool:
    """Whether a view is in written pitch on the printed staves: nothing of it was read out."""
    book = Engraving.objects.filter(copy=copy, view_key=key, page=0).first()
    view = book.view.get("view", {}) if book else {}
    return view.get("pitch", "written") == "written" and view.get("staves", "printed") == "printed"


@require_GET
@login_required
def view_state(request: SignedRequest, version_id: uuid.UUID) -> HttpResponse:
    """JSON: the view's key, how many pages there are and how many can be fetched."""
    copy = _copy(request, version_id)
    asked, locks = request.GET.dict(), _locks(request, copy)
    if locks.facts:
        asked = {name: value for name, value in asked.items() if name in PRINTED}
    if line := locks.line:
        asked["parts"] = _one_part(line, asked.get("parts", ""), copy)
    try:
        view = view_from_query(asked, copy.outline)
    except EngineError as error:
        return JsonResponse({"detail": str(error)}, status=400)
    key, book, job = ask_view(copy, view)
    return state_answer(key, book, job, request.user)


@require_GET
@login_required
def page(request: SignedRequest, version_id: uuid.UUID, key: str, page: int) -> HttpResponse:
    """One engraved page. Its content never changes, so the browser may keep it."""
    copy = _copy(request, version_id)
    if key.startswith(REDUCED):  # computed: the tutor's alone, at an address of its own
        raise Http404
    locks = _locks(request, copy)
    if locks.line and not _shows_only(copy, key, locks.line):
        raise Http404
    if locks.facts and not _as_printed(copy, key):
        raise Http404
    row = get_object_or_404(Engraving.objects.exclude(page=0), copy=copy, view_key=key, page=page)
    return page_answer(row)


def _run(request: SignedRequest, version_id: uuid.UUID) -> Run:
    run = current_run(_copy(request, version_id).version)
    if run is None:
        raise Http404
    return run


def _sound(request: SignedRequest, version_id: uuid.UUID) -> tuple[bytes, bytes] | HttpResponse:
    """MIDI and timeline in the `order` asked for, or what to say instead."""
    run = _run(request, version_id)
    if locks_on(request.user, run.copy.version.score, timezone.now()).sound:
        raise Http404
    order = ORDERS.get(request.GET.get("order", "printed"))
    if order is None:
        raise Http404
    if order != "printed":
        return sound_in(run, order)
    found = ask_sound(run)
    if isinstance(found, Sound):
        return storage.get(found.midi), storage.get(found.timeline)
    if found.state == Job.State.FAILED:
        return JsonResponse({"detail": found.problem}, status=500)
    return JsonResponse({"detail": "The sound is being made."}, status=202)


def _kept(content: bytes, kind: str) -> HttpResponse:
    """What the browser may keep, and asks about each time: the lock may have come meanwhile."""
    response = HttpResponse(content, content_type=kind)
    response["Cache-Control"] = "private, no-cache"
    return response


@require_GET
@gzip_page
@conditional_page
@login_required
def midi(request: SignedRequest, version_id: uuid.UUID) -> HttpResponse:
    found = _sound(request, version_id)
    return found if isinstance(found, HttpResponse) else _kept(found[0], "audio/midi")


@require_GET
@gzip_page
@conditional_page
@login_required
def timeline(request: SignedRequest, version_id: uuid.UUID) -> HttpResponse:
    found = _sound(request, version_id)
    return found if isinstance(found, HttpResponse) else _kept(found[1], "application/json")
