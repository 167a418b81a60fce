"""The tutor's notes in the margin."""

from __future__ import annotations

import json
import uuid
from typing import Any
from urllib.parse import quote

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from analysis.engine.claims import KINDS
from analysis.models import CanonicalCopy
from analysis.selectors import copy_of, version_asked
from courses.access import SignedRequest, own_score, tutor_required
from courses.bars import movement_of, parse_bars, typed
from courses.models import Course, Note, Score, ScoreVersion
from courses.places import notes_in
from courses.services import notes


def _values(request: SignedRequest, version: ScoreVersion, copy: CanonicalCopy) -> dict[str, Any]:
    post = request.POST
    first, last = parse_bars(post.get("bars", ""), copy.outline)
    known = {p["id"] for p in copy.outline["parts"]}
    course = None
    if post.get("course"):
        course = get_object_or_404(Course.objects.taught_by(request.user), public_id=post["course"])
    order = post.get("order", "").strip()
    published = course is not None
    return {
        "version": version,
        "movement": movement_of(first, copy.outline),
        "first_bar": first,
        "last_bar": last,
        "text": post.get("text", "").strip(),
        "course": course,
        "state": Note.State.PUBLISHED if published else Note.State.PRIVATE,
        "order": int(order) if order.isdecimal() else None,
        "lit": [{"part": p, "player": None} for p in post.getlist("lit") if p in known],
        "sounding": [{"part": p, "player": None} for p in post.getlist("sounding") if p in known],
        "after_release": post.get("when") == "after",
        "finding": _finding(post.get("finding", ""), first, last),
    }


def _finding(text: str, first: int, last: int) -> dict[str, Any] | None:
    """The finding a note is about, by value; none if the note has moved away from it."""
    try:
        found = json.loads(text)
        ours = {name: found[name] for name in ("kind", "movement", "value", "parts")}
        span = int(found["first_bar"]), int(found["last_bar"])
    except (ValueError, TypeError, KeyError):
        return None
    if ours["kind"] not in KINDS or span[0] > last or span[1] < first:
        return None
    return {**ours, "first_bar": span[0], "last_bar": span[1]}


@require_http_methods(["GET", "POST"])
@tutor_required
def write(request: SignedRequest, score_id: uuid.UUID) -> HttpResponse:
    score = own_score(request.user, score_id)
    if request.method == "GET":
        return redirect("score", score.public_id)  # a page of errors, reloaded by its address
    version = version_asked(score, request.POST.get("file"))
    copy = copy_of(version) if version else None
    if version is None or copy is None:
        raise Http404
    try:
        notes.write_note(author=request.user, **_values(request, version, copy))
    except ValidationError as error:
        return _again(request, version, copy, error, None)
    messages.success(request, _("Note kept."))
    return redirect(_page(score, request))


def _page(score: Score, request: SignedRequest) -> str:
    bars = request.POST["bars"].strip()
    return f"{reverse('score', args=[score.public_id])}#b={quote(bars)}"


def _again(
    request: SignedRequest,
    version: ScoreVersion,
    copy: CanonicalCopy,
    error: ValidationError,
    note: Note | None,
) -> HttpResponse:
    """The form with everything that was typed, and what to mend."""
    page = {
        "score": version.score,
        "version": version,
        "note": note,
        "outline": copy.outline,
        "problems": error.messages,
        "typed": request.POST,
        "lit": request.POST.getlist("lit"),
        "sounding": request.POST.getlist("sounding"),
        "courses": Course.objects.taught_by(request.user),
        "here": "library",
    }
    return render(request, "analysis/note.html", page, status=422)


def _own_note(request: SignedRequest, note_id: uuid.UUID) -> Note:
    return get_object_or_404(
        Note.objects.filter(author=request.user).select_related("version__score", "course"),
        public_id=note_id,
    )


@require_http_methods(["GET", "POST"])
@tutor_required
def place(request: SignedRequest, note_id: uuid.UUID) -> HttpResponse:
    """A note whose place a corrected file no longer has gets its bars anew."""
    note = _own_note(request, note_id)
    score = note.version.score
    if request.method == "GET":
        return redirect("score", score.public_id)
    version = version_asked(score, request.POST.get("file"))
    copy = copy_of(version) if version else None
    if version is None or copy is None:
        raise Http404
    try:
        first, last = parse_bars(request.POST.get("bars", ""), copy.outline)
        notes.place_note(note=note, by=request.user, version=version, first=first, last=last)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("score", score.public_id)
    messages.success(request, _("Note kept."))
    return redirect(_page(score, request))


@require_http_methods(["GET", "POST"])
@tutor_required
def edit(request: SignedRequest, note_id: uuid.UUID) -> HttpResponse:
    note = _own_note(request, note_id)
    score = note.version.score
    asked = request.POST if request.method == "POST" else request.GET
    version = version_asked(score, asked.get("file"))
    copy = copy_of(version) if version else None
    if version is None or copy is None:
        raise Http404
    if request.method == "POST":
        try:
            match = request.POST.get("revision", "")
            note = notes.write_note(
                author=request.user,
                note=note,
                if_match=int(match) if match.isdecimal() else None,
                **_values(request, version, copy),
            )
        except ValidationError as error:
            return _again(request, version, copy, error, note)
        return redirect(_page(score, request))
    (note,) = notes_in(version, pk=note.pk)
    page = {
        "score": score,
        "version": version,
        "note": note,
        "outline": copy.outline,
        "typed": {
            "bars": "" if note.place_lost else typed(note.first_bar, note.last_bar, copy.outline),
            "text": note.text,
            "order": note.order or "",
            "course": str(note.course.public_id) if note.course else "",
            "when": "after" if note.after_release else "now",
            "revision": note.revision,
            "finding": json.dumps(note.finding) if note.finding else "",
        },
        "lit": [p["part"] for p in note.lit],
        "sounding": [p["part"] for p in note.sounding],
        "courses": Course.objects.taught_by(request.user),
        "here": "library",
    }
    return render(request, "analysis/note.html", page)


@require_http_methods(["GET", "POST"])
@tutor_required
def delete(request: SignedRequest, note_id: uuid.UUID) -> HttpResponse:
    note = _own_note(request, note_id)
    score = note.version.score
    if request.method == "GET":
        return redirect("score", score.public_id)
    notes.delete_note(note=note, by=request.user)
    messages.success(request, _("Note taken away."))
    return redirect("score", score.public_id)
