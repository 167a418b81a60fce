"""Finds and threads: messages tied to bars, on the record."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from analysis.outline import as_printed
from analysis.selectors import copy_of, read_version, readable_versions
from courses.access import SignedRequest, visible_course, with_sound
from courses.bars import movement_of, parse_bars, typed
from courses.ids import as_id
from courses.locks import locks_on
from courses.models import BarMap, Score
from courses.places import span_in
from submissions.access import seen_find, seen_statement
from submissions.models import Find, Message
from submissions.places import span_label
from submissions.said import stated
from submissions.services.finds import answer, send_find
from submissions.sight import role_in, seen_of
from submissions.views.reading import show_paper, show_reading


@require_GET
@login_required
def find_list(request: SignedRequest) -> HttpResponse:
    """All finds one may see, sorted by place in the score."""
    user, now = request.user, timezone.now()
    found = (
        Find.objects.filter(
            Q(course__tutor=user) | Q(student=user) | Q(shown_to_group=True,
              course__enrolments__user=user, course__enrolments__state="active")
        )
        .distinct()
        .select_related("student", "course", "version__canonical", "version__score__work")
        .order_by("version__score__work__title", "version__score__order", "movement", "first_bar")
    )  # fmt: skip
    rows = [
        {"find": f, "bars": span_label(f.version.canonical.outline, f.first_bar, f.last_bar)}
        for f in seen_of(user, found, now)
    ]
    return render(request, "submissions/finds.html", {"rows": rows, "here": "finds"})


@with_sound
@require_POST
@login_required
def new_find(request: SignedRequest, course_id: str, score_id: str) -> HttpResponse:
    course = visible_course(request.user, course_id)
    score = get_object_or_404(
        Score.objects.readable_by(request.user).filter(courses=course), public_id=score_id
    )
    if role_in(request.user, course) != "student":
        raise Http404
    named = readable_versions(request.user).filter(
        score=score, public_id=as_id(request.POST.get("file"))
    )
    version = named.first() or read_version(score)
    copy = copy_of(version) if version else None
    if version is None or copy is None:
        raise Http404
    try:
        first, last = parse_bars(request.POST.get("bars", ""), copy.outline)
        find = send_find(
            student=request.user,
            course=course,
            version=version,
            client_key=request.POST.get("client_key") or f"{timezone.now().timestamp()}",
            movement=movement_of(first, copy.outline),
            first_bar=first,
            last_bar=last,
            text=request.POST.get("text", ""),
            title=request.POST.get("text", "").strip().split("\n")[0][:80],
            shown_to_group="shown_to_group" in request.POST,
        )
    except ValidationError as error:
        return _not_sent(request, course_id, score_id, " ".join(error.messages))
    messages.success(request, _("Sent. Your tutor’s answer will stand under “Finds”."))
    return redirect("find", find.public_id)


def _not_sent(request: SignedRequest, course_id: str, score_id: str, problem: str) -> HttpResponse:
    """The page it was written on, with all that was entered and what to mend."""
    entered = {
        "problem": problem,
        "bars": request.POST.get("bars", ""),
        "text": request.POST.get("text", ""),
        "client_key": request.POST.get("client_key", ""),
        "shown_to_group": "shown_to_group" in request.POST,
    }
    if paper := request.POST.get("assignment"):
        return show_paper(request, str(as_id(paper)), entered=entered)
    return show_reading(request, course_id, score_id, entered=entered)


@with_sound
@require_http_methods(["GET", "POST"])
@login_required
def find_page(request: SignedRequest, find_id: str) -> HttpResponse:
    find = seen_find(request.user, find_id)
    mine = find.student_id == request.user.pk
    role = role_in(request.user, find.course)
    in_thread = mine or role in {"tutor", "assistant"}
    if request.method == "POST":
        if not in_thread:
            raise Http404
        return _turn(request, find=find)
    if in_thread:
        find.messages.filter(read_at=None).exclude(author=request.user).update(
            read_at=timezone.now()
        )
    outline = find.version.canonical.outline
    locks = locks_on(request.user, find.version.score, timezone.now())
    page = {
        "find": find,
        "score": find.version.score,
        "version": find.version,
        "course": find.course,
        "outline": as_printed(outline) if locks.facts else outline,
        "bars": span_label(outline, find.first_bar, find.last_bar),
        "typed": _typed_in_whole(find, outline),
        "thread": find.messages.select_related("author")
        if in_thread
        else find.messages.filter(author=find.student).select_related("author")[:1],
        "in_thread": in_thread,
        "locks": locks,
        "here": "finds",
    }
    return render(request, "submissions/find.html", page)


def _typed_in_whole(find: Find, outline: dict[str, Any]) -> str:
    """The find's bars in the file that the whole score is read in; "" if they are not there."""
    shown = read_version(find.version.score)
    if shown is None or shown.pk == find.version_id:
        return typed(find.first_bar, find.last_bar, outline)
    way = BarMap.objects.filter(source=find.version, target=shown).first()
    span = span_in(way.bars, find.first_bar, find.last_bar) if way else None
    return typed(*span, shown.canonical.outline) if span else ""


@require_http_methods(["GET", "POST"])
@login_required
def statement_thread(request: SignedRequest, statement_id: str) -> HttpResponse:
    """Asking back on a ruled statement."""
    observation = seen_statement(request.user, statement_id)
    unsent = ""
    if request.method == "POST":
        said = _turn(request, observation=observation)
        unsent = "" if "#" in said["Location"] else request.POST.get("text", "")
        if not request.headers.get("HX-Request"):  # else the thread stands within another page
            return said
    observation.messages.filter(read_at=None).exclude(author=request.user).update(
        read_at=timezone.now()
    )
    latest = observation.versions.select_related("version__canonical", "version__score__work").get(
        number=observation.number
    )
    outline = latest.version.canonical.outline if latest.version else {"bars": []}
    page = {
        "observation": observation,
        "latest": latest,
        "stated": stated(latest, outline),
        "bars": span_label(outline, latest.first_bar, latest.last_bar),
        "thread": observation.messages.select_related("author"),
        "teaching": observation.paper.assignment.course.tutor_id == request.user.pk,
        "unsent": unsent,
    }
    return render(request, "submissions/thread.html", page)


def _turn(request: SignedRequest, **thread: object) -> HttpResponse:
    text = request.POST.get("text", "")
    key = request.POST.get("client_key") or f"{timezone.now().timestamp()}"
    try:
        said: Message = answer(author=request.user, client_key=key, text=text, **thread)  # type: ignore[arg-type]
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect(request.path)
    return redirect(f"{request.path}#m{said.public_id}")
