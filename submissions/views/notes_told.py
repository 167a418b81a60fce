"""What a note of the page is: written, sounding, and which open tone. JSON for the score page."""

from __future__ import annotations

import uuid

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _later
from django.views.decorators.http import require_GET

from analysis import storage
from analysis.engine.note_told import NoteTold, told
from analysis.engine.pitch import Pitch, in_words
from analysis.selectors import current_run, readable_versions
from courses.access import SignedRequest
from courses.locks import locks_on
from submissions.layers import allowed

OPENNESS = {
    "open": _later("open tone, partial {n} of the crook"),
    "doubtful": _later("partial {n} of the crook, out of tune"),
    "not open": _later("no open tone of the crook"),
}


@require_GET
@login_required
def note_told(request: SignedRequest, version_id: uuid.UUID, note_id: str) -> HttpResponse:
    """JSON: `title`, and `lines` of text. 404 for what the page does not show now."""
    files = readable_versions(request.user).select_related("score")
    version = get_object_or_404(files, public_id=version_id)
    now = timezone.now()
    locks = locks_on(request.user, version.score, now)
    run = current_run(version)
    found = (
        told(storage.table_of(run), note_id) if run and not (locks.page or locks.facts) else None
    )
    if run is None or found is None or (locks.line and found.reading.id != locks.line):
        raise Http404
    tones = found.tone is not None and "open-tones" in allowed(
        request.user, run, found.bar, found.bar, now
    )
    title = " · ".join(dict.fromkeys(line.name for line in found.lines))
    response = JsonResponse({"title": title, "lines": _lines(found, tones)})
    response["Cache-Control"] = "private, no-store"  # what one may read changes with release
    return response


def _lines(found: NoteTold, tones: bool) -> list[str]:
    if found.written is None or found.sounding is None:
        return [_("without pitch")]
    lines = [_("written {note}").format(note=note_name(found.written))]
    if found.apart:
        sounds = _("sounds {note}, {interval} lower") if found.lower else _(
            "sounds {note}, {interval} higher"
        )  # fmt: skip
        lines.append(
            sounds.format(note=note_name(found.sounding), interval=with_article(found.apart))
        )
    else:
        lines.append(_("sounds as written"))
    if tones and found.tone is not None:
        lines.append(str(OPENNESS[found.tone.openness]).format(n=found.tone.partial))
    return lines


def note_name(pitch: Pitch) -> str:
    """With the octave: C 4 is middle C."""
    return f"{in_words(pitch.step, pitch.alter)} {pitch.octave}"


def with_article(interval: str) -> str:
    return f"{'an' if interval[0] in 'aeiou' else 'a'} {interval}"
