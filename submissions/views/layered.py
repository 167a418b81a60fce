"""Layers on the notes of a score page, as far as a person may see them. JSON."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_GET

from analysis import storage
from analysis.effective import effective_findings
from analysis.engine.claims.speech import render as say
from analysis.engine.layering import Mark, marks
from analysis.selectors import current_run, readable_versions
from courses.access import SignedRequest
from courses.locks import locks_on
from courses.stages import LAYERS
from submissions.layers import allowed_runs


@require_GET
@login_required
def layers(request: SignedRequest, version_id: uuid.UUID) -> HttpResponse:
    """`allowed`: layers for some of bars `first` to `last`; `marks` of those asked for in `layers`.

    A layer that is not allowed is not looked up, whatever is asked for.
    """
    files = readable_versions(request.user).select_related("score")
    version = get_object_or_404(files, public_id=version_id)
    run, now = current_run(version), timezone.now()
    locks = locks_on(request.user, version.score, now)
    if run is None or locks.page or locks.line or locks.facts:
        raise Http404
    span = request.GET.get("first", ""), request.GET.get("last", "")
    if not all(v.isdecimal() and len(v) < 7 for v in span):
        return JsonResponse({"detail": gettext("Say which bars.")}, status=422)
    first, last = (int(v) for v in span)
    runs = allowed_runs(request.user, run, first, last, now)
    may = frozenset[str]().union(*(names for _first, _last, names in runs))
    wanted = set(request.GET.get("layers", "").split(","))
    found: list[Mark] = []
    for start, end, names in runs:
        if asked := [name for name in LAYERS if name in names & wanted]:
            found += marks(storage.table_of(run), effective_findings(run), asked, start, end)
    answer = {
        "allowed": [{"name": n, "label": str(LAYERS[n])} for n in LAYERS if n in may],
        "marks": [_json(mark) for mark in found],
    }
    response = JsonResponse(answer)
    response["Cache-Control"] = "private, no-store"  # what one may read changes with release
    return response


def _json(mark: Mark) -> dict[str, Any]:
    word = mark.word if isinstance(mark.word, str) else say(mark.word, gettext)
    return {"layer": mark.layer, "group": mark.group, "word": word, "first": mark.first,
            "last": mark.last, "parts": mark.parts, "ids": mark.ids}  # fmt: skip
