"""Recordings of a score: attached and tapped by the tutor, followed by whoever may hear it."""

from __future__ import annotations

import json
import uuid
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from analysis.models import Run
from analysis.recorded import bars_of, played_bars, readable_recordings, timeline_of, to_follow
from analysis.recording_form import RecordingForm
from analysis.selectors import current_run, read_version, readable_versions
from analysis.views.ranged import ranged
from courses.access import SignedRequest, own_score, tutor_required
from courses.forms import initial_rights
from courses.locks import locks_on
from courses.models import Recording, ScoreVersion
from courses.recordings import read_taps
from courses.services import recordings


def _own(request: SignedRequest, recording_id: uuid.UUID) -> Recording:
    """A recording of the tutor's own library that stands."""
    found = Recording.objects.standing().select_related("version__score__work")
    return get_object_or_404(found, version__score__tutor=request.user, public_id=recording_id)


def _own_with_run(request: SignedRequest, recording_id: uuid.UUID) -> tuple[Recording, Run]:
    recording = _own(request, recording_id)
    run = current_run(recording.version)
    if run is None:
        raise Http404
    return recording, run


@require_http_methods(["GET", "POST"])
@tutor_required
def attach(request: SignedRequest, score_id: uuid.UUID) -> HttpResponse:
    """A recording with its rights statement; a refused form keeps its entries."""
    score = own_score(request.user, score_id)
    version = read_version(score)
    if version is None:
        raise Http404
    bound = request.method == "POST"
    form = RecordingForm(
        request.POST or None, request.FILES or None, initial=initial_rights(request.user)
    )
    if bound and form.is_valid():
        try:
            recording = recordings.attach_recording(
                version=version, by=request.user, file=form.cleaned_data["recorded"],
                **form.statement(),
            )  # fmt: skip
        except ValidationError as error:
            form.add_error(None if hasattr(error, "error_dict") else "recorded", error)
        else:
            return redirect("tap-recording", recording.public_id)
    page = {"form": form, "score": score, "here": "library"}
    return render(request, "analysis/recordings/attach.html", page, status=422 if bound else 200)


@require_GET
@tutor_required
def tap(request: SignedRequest, recording_id: uuid.UUID) -> HttpResponse:
    """The page on which bars are tapped."""
    recording, run = _own_with_run(request, recording_id)
    outline = run.copy.outline
    page = {
        "recording": recording,
        "score": recording.version.score,
        "version": recording.version,
        "outline": outline,
        "repeats": any(b["ending"] or len(b["passes"]) > 1 for b in outline["bars"]),
        "state": {
            "revision": recording.revision,
            "draft": recording.draft,
            "played": {order: played_bars(run, order) for order in ("played", "once")},
            "bars": _rows(run, recording.draft),
            "followed": recording.tappings.exists(),
        },
        "here": "library",
    }
    return render(request, "analysis/recordings/tap.html", page)


def _rows(run: Run, draft: dict[str, Any]) -> list[list[Any]]:
    """[place among the bars played, start, end, tapped], in s of the recording."""
    known = bars_of(run, draft["order"], draft["taps"], draft["duration"])
    return [[b.place, b.start, b.end, b.tapped] for b in known]


@require_POST
@tutor_required
def save_taps(request: SignedRequest, recording_id: uuid.UUID) -> HttpResponse:
    """JSON: the tapping as it stands, kept; what follows from it for every bar."""
    recording, run = _own_with_run(request, recording_id)
    try:
        sent = json.loads(request.POST.get("draft", ""))
        number = int(request.POST.get("revision", ""))
    except ValueError:
        sent, number = None, 0
    try:
        draft = read_taps(sent)
        rows = _rows(run, draft)
        revision = recordings.save_taps(recording=recording, draft=draft, if_match=number)
    except ValidationError as error:
        status = 409 if error.code == "stale" else 422
        return JsonResponse({"detail": " ".join(error.messages)}, status=status)
    return JsonResponse({"revision": revision, "bars": rows})


@require_POST
@tutor_required
def give_to_follow(request: SignedRequest, recording_id: uuid.UUID) -> HttpResponse:
    recording, _run = _own_with_run(request, recording_id)
    try:
        recordings.give_to_follow(recording=recording, by=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("tap-recording", recording.public_id)
    messages.success(
        request, _("The score follows the recording. Press Listen and choose it under Sound.")
    )
    return redirect("score", recording.version.score.public_id)


@require_POST
@tutor_required
def take_down(request: SignedRequest, recording_id: uuid.UUID) -> HttpResponse:
    recording = _own(request, recording_id)
    recordings.take_down_recording(recording=recording, by=request.user)
    messages.success(request, _("The recording is taken down and its file removed."))
    return redirect("score", recording.version.score.public_id)


def _heard(request: SignedRequest, version_id: uuid.UUID) -> ScoreVersion:
    """A file of a score whose sound the user may hear now."""
    files = readable_versions(request.user).select_related("score")
    version = get_object_or_404(files, public_id=version_id)
    if locks_on(request.user, version.score, timezone.now()).sound:
        raise Http404
    return version


@require_GET
@login_required
def heard_recordings(request: SignedRequest, version_id: uuid.UUID) -> HttpResponse:
    """JSON: recordings that the bars of this file can follow."""
    version = _heard(request, version_id)
    found = [
        {
            "name": recording.name,
            "performers": recording.performers,
            "sound": reverse("recording-sound", args=[recording.public_id]),
            "timeline": reverse("recording-timeline", args=[version_id, recording.public_id]),
        }
        for recording in to_follow(request.user, version)
    ]
    return _fresh(JsonResponse({"recordings": found}))


@require_GET
@login_required
def recording_timeline(
    request: SignedRequest, version_id: uuid.UUID, recording_id: uuid.UUID
) -> HttpResponse:
    """JSON: when each bar of this file sounds in the recording, as `score-timeline` tells it."""
    version = _heard(request, version_id)
    found = readable_recordings(request.user).filter(version__score=version.score_id)
    recording = get_object_or_404(found, public_id=recording_id)
    run, tapping = current_run(version), recording.tappings.first()
    if run is None or tapping is None:
        raise Http404
    return _fresh(JsonResponse(timeline_of(recording, tapping, run)))


@require_GET
@login_required
def recording_sound(request: SignedRequest, recording_id: uuid.UUID) -> HttpResponse:
    """The file itself, whole or in part: never as a download, and kept by no cache."""
    recording = get_object_or_404(readable_recordings(request.user), public_id=recording_id)
    if locks_on(request.user, recording.version.score, timezone.now()).sound:
        raise Http404
    answer = ranged(request, recording.file, recording.size, recording.media_type, recording.sha256)
    answer["Content-Disposition"] = "inline"
    answer["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return _fresh(answer)


def _fresh(answer: Any) -> Any:
    answer["Cache-Control"] = "private, no-store"  # what one may hear changes with the stage
    return answer
