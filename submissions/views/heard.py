"""Sound of some bars by what the reading says of them: who has a role, who goes with whom.

The rule is that of the layers on the notes: what a person may not switch on there can neither
be chosen here nor be heard by its address.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_GET

from analysis import storage
from analysis.effective import effective_findings
from analysis.engine.claims.speech import render as say
from analysis.engine.hearing import Choice, choices
from analysis.engine.model import ScoreTable
from analysis.engine.sound import Performance, midi_file, perform, soundfont_path
from analysis.engine.sound.bank import bank_of
from analysis.engine.sound.render import wav_file
from analysis.selectors import current_run, readable_versions
from analysis.services.orders import ORDERS
from courses.access import NOT_KEPT, SignedRequest
from courses.locks import locks_on
from submissions.layers import allowed

#: bars whose sound is made while one waits
MOST_BARS = 400
#: of an audio file, made while one waits: seconds of it, and notes
MOST_SECONDS = 60.0
MOST_STROKES = 1500


@dataclass(frozen=True)
class _Asked:
    table: ScoreTable
    choices: list[Choice]
    first: int
    last: int


def _asked(
    request: SignedRequest, version_id: uuid.UUID, *, choosing: bool = True
) -> _Asked | JsonResponse:
    """The bars asked for; who needs no choice needs no leave but that of the sound."""
    files = readable_versions(request.user).select_related("score")
    version = get_object_or_404(files, public_id=version_id)
    run, now = current_run(version), timezone.now()
    locks = locks_on(request.user, version.score, now)
    if run is None or (locks.any if choosing else locks.sound):
        raise Http404
    span = request.GET.get("first", ""), request.GET.get("last", "")
    if not all(v.isdecimal() and len(v) < 7 for v in span):
        return JsonResponse({"detail": gettext("Say which bars.")}, status=422)
    first, last = (int(v) for v in span)
    may = allowed(request.user, run, first, last, now) if choosing else frozenset()
    table = storage.table_of(run)
    if last >= len(table.bars) or not 0 <= last - first < MOST_BARS or not may:
        return _Asked(table, [], first, last)
    return _Asked(table, choices(table, effective_findings(run), may, first, last), first, last)


def _keep(request: SignedRequest, asked: _Asked) -> Callable[[int], bool]:
    """Which notes the choice of the address leaves; 404 if it is none of those offered."""
    only, without = request.GET.get("only", ""), request.GET.get("without", "")
    chosen = next((c for c in asked.choices if c.key == (only or without)), None)
    if chosen is None:
        raise Http404
    rows, wanted = chosen.rows, bool(only)
    return lambda row: (row in rows) is wanted


def _performed(
    request: SignedRequest, asked: _Asked, keep: Callable[[int], bool] | None
) -> Performance:
    order = ORDERS.get(request.GET.get("order", "printed"))
    if order is None:
        raise Http404
    return perform(asked.table, order=order, within=(asked.first, asked.last), keep=keep)


@require_GET
@login_required
@NOT_KEPT
def heard_choices(request: SignedRequest, version_id: uuid.UUID) -> HttpResponse:
    """JSON: what may be heard alone or left out in bars `first` to `last`."""
    asked = _asked(request, version_id)
    if isinstance(asked, JsonResponse):
        return asked
    found = [
        {"key": c.key, "label": say(c.says, gettext), "out": say(c.out or c.says, gettext)}
        for c in asked.choices
    ]
    return JsonResponse({"choices": found})


@require_GET
@login_required
@NOT_KEPT
def heard(request: SignedRequest, version_id: uuid.UUID) -> HttpResponse:
    """MIDI of the bars with `only` a choice, or everybody `without` it; timed as the whole."""
    asked = _asked(request, version_id)
    if isinstance(asked, JsonResponse):
        return asked
    data = midi_file(_performed(request, asked, _keep(request, asked)), asked.table)
    return HttpResponse(data, content_type="audio/midi")


@require_GET
@login_required
@NOT_KEPT
def excerpt(request: SignedRequest, version_id: uuid.UUID) -> HttpResponse:
    """One mixed WAV of the bars: without `silent` parts, at a share of the `tempo`, by choice."""
    choosing = bool(request.GET.get("only") or request.GET.get("without"))
    asked = _asked(request, version_id, choosing=choosing)
    if isinstance(asked, JsonResponse):
        return asked
    keep = _keep(request, asked) if choosing else None
    path, tempo = soundfont_path(), _share(request.GET.get("tempo", "1"))
    performance = _performed(request, asked, keep)
    bars = [b for b in performance.bars if asked.first <= b.index <= asked.last]
    there = asked.last < len(asked.table.bars) and performance.order != "played"
    if not there or not bars or not performance.strokes or path is None:
        return JsonResponse({"detail": gettext("There is no such sound to take away.")}, status=422)
    seconds = (performance.clock.at(bars[-1].end) - performance.clock.at(bars[0].start)) / tempo
    if seconds > MOST_SECONDS or len(performance.strokes) > MOST_STROKES:
        said = gettext("This is too long for one file: choose fewer bars, up to a minute of sound.")
        return JsonResponse({"detail": said}, status=422)
    silent = frozenset(request.GET.get("silent", "").split(","))
    data = wav_file(performance, asked.table, bank_of(path), silent=silent, tempo=tempo)
    response = HttpResponse(data, content_type="audio/wav")
    name = f"bars-{asked.first + 1}-{asked.last + 1}.wav"  # nothing of a choice in it
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _share(text: str) -> float:
    """A tempo as the player's slider gives it, .25 to 1.2."""
    try:
        share = float(text)
    except ValueError:
        return 1.0
    return min(max(share, 0.25), 1.2) if share == share else 1.0  # "nan" is a number to float
