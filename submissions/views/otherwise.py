"""The same bars heard otherwise, and blind: an experiment for the ear, nothing of it is kept.

Facts of the page alone go in (a part, some bars), so that nothing hidden can be heard. Which of
the two is played blind follows from a secret of the site and a number the page makes up: it
stands neither in the page nor in the address.
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from analysis import storage
from analysis.engine.errors import EngineError
from analysis.engine.model import ScoreTable
from analysis.engine.sound import midi_file, perform
from analysis.engine.sound.otherwise import HOWS, How, otherwise
from analysis.selectors import current_run, readable_versions
from courses.access import NOT_KEPT, SignedRequest
from courses.locks import locks_on

MOST_BARS = 64  # an experiment is about a passage


@dataclass(frozen=True)
class _Asked:
    table: ScoreTable
    first: int
    last: int
    part: int
    how: How


def _asked(request: SignedRequest, version_id: uuid.UUID) -> _Asked | JsonResponse:
    files = readable_versions(request.user).select_related("score")
    version = get_object_or_404(files, public_id=version_id)
    run = current_run(version)
    if run is None or locks_on(request.user, version.score, timezone.now()).sound:
        raise Http404
    table = storage.table_of(run)
    span = request.GET.get("first", ""), request.GET.get("last", "")
    part = next((r for r in table.first_readings if r.id == request.GET.get("part")), None)
    how = next((h for h in HOWS if h == request.GET.get("how")), None)
    if part is None or how is None or not all(v.isdecimal() and len(v) < 7 for v in span):
        return _said(_("Say which bars, which part, and how."))
    first, last = map(int, span)
    if not first <= last < len(table.bars):
        return _said(_("These bars are not in the score."))
    if last - first >= MOST_BARS:
        return _said(_("Choose {n} bars at most.").format(n=MOST_BARS))
    return _Asked(table, first, last, part.index, how)


def _said(text: str) -> JsonResponse:
    return JsonResponse({"detail": text}, status=422)


def _changed(request: SignedRequest) -> bool:
    """Whether the blind number of the address means the changed one; one in two does."""
    number = request.GET.get("blind", "")[:40]
    digest = salted_hmac("hear it otherwise", f"{request.user.pk}:{number}").digest()
    return bool(digest[0] & 1)


@require_GET
@login_required
@NOT_KEPT
def heard_otherwise(request: SignedRequest, version_id: uuid.UUID) -> HttpResponse:
    """MIDI of the bars: `as` "it-stands", "otherwise", or one of the two by the number `blind`."""
    asked = _asked(request, version_id)
    if isinstance(asked, JsonResponse):
        return asked
    performance = perform(asked.table, within=(asked.first, asked.last))
    try:
        changed = otherwise(performance, asked.part, asked.how)
    except EngineError as error:
        return _said(str(error))
    if request.GET.get("as") == "otherwise" or (request.GET.get("blind") and _changed(request)):
        performance = changed
    return HttpResponse(midi_file(performance, asked.table), content_type="audio/midi")


@require_GET
@login_required
@NOT_KEPT
def told_blind(request: SignedRequest, version_id: uuid.UUID) -> HttpResponse:
    """JSON: whether what was heard under the number `blind` was `otherwise`."""
    asked = _asked(request, version_id)
    if isinstance(asked, JsonResponse):
        return asked
    if not request.GET.get("blind"):
        raise Http404
    return JsonResponse({"otherwise": _changed(request)})
