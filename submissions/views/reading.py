"""The reading page: a paper on an assignment, or a score read for its own sake."""

from __future__ import annotations

from collections import Counter
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from analysis.engine.instruments.languages import Names, names_of
from analysis.outline import as_printed
from analysis.selectors import copy_of, current_run, read_version
from courses.access import SignedRequest, visible_course, with_sound
from courses.ids import as_id
from courses.locks import Locks, locks_on
from courses.models import Course, Score, ScoreVersion
from courses.stages import Kind, way_of
from submissions.access import assignment_for_student
from submissions.api import statements_of
from submissions.feedback import feedback_of
from submissions.kinds import KINDS
from submissions.kinds.words import words_of
from submissions.models import Paper
from submissions.places import span_label
from submissions.services.editions import declare, enrolment_of
from submissions.services.papers import may_write, open_paper, wanting
from submissions.sight import ModelAnswer, closes_at, seen_of
from submissions.stage_page import rows_of, stages_of
from submissions.survey_page import survey_of
from submissions.walk import notes_for


def _score_context(version: ScoreVersion, course: Course, request: SignedRequest) -> dict[str, Any]:
    now = timezone.now()
    locks = locks_on(request.user, version.score, now)
    copy = copy_of(version)
    run = current_run(version)
    if copy is None or run is None:
        raise Http404
    outline = copy.outline
    if locks.page:
        return _closed_context(version, course, locks, outline)
    return {
        "course": course,
        "score": version.score,
        "version": version,
        "outline": as_printed(outline) if locks.facts else outline,
        "run": run,
        "notes": notes_for(request.user, course, version, outline, now),
        "kinds": KINDS.values(),
        "locks": locks,
        "names_here": [] if locks.facts else _names_here(outline),
    }


def _names_here(outline: dict[str, Any]) -> list[tuple[str, Names]]:
    """Each instrument of the page once, by the label of its first part."""
    found: dict[str, tuple[str, Names]] = {}
    for part in outline["parts"]:
        names = names_of(part["instrument"])
        if names and part["instrument"] not in found:
            found[part["instrument"]] = (part["label"], names)
    return list(found.values())


def _closed_context(
    version: ScoreVersion, course: Course, locks: Locks, outline: dict[str, Any]
) -> dict[str, Any]:
    """While one answers from memory: bar numbers to answer with, and nothing of the page."""
    bars = [{"i": b["i"], "label": b["label"], "nth": b["nth"]} for b in outline["bars"]]
    return {
        "course": course,
        "score": version.score,
        "version": version,
        "outline": {"bars": bars, "parts": [], "movements": outline["movements"]},
        "kinds": KINDS.values(),
        "locks": locks,
    }


@with_sound
@require_GET
@login_required
def paper_page(request: SignedRequest, assignment_id: str) -> HttpResponse:
    """The student's own paper, opened at the first visit."""
    return show_paper(request, assignment_id)


def show_paper(request: SignedRequest, assignment_id: str, **refused: Any) -> HttpResponse:
    """The paper's page; `refused`: what was sent from it and could not be taken (status 422)."""
    assignment = assignment_for_student(request.user, assignment_id)
    now = timezone.now()
    try:
        paper = open_paper(student=request.user, assignment=assignment, now=now)
    except ValidationError as error:
        messages.info(request, " ".join(error.messages))
        return redirect("desk")
    version = assignment.current
    assert version is not None
    page = _score_context(version.score_version, assignment.course, request)
    way = way_of(version, request.user)
    wanted = wanting(paper, version)
    rows_of(way, wanted)
    closing = closes_at(version, request.user)
    shown = seen_of(request.user, (ModelAnswer(row["prompt"], paper) for row in wanted), now)
    answers = {answer.prompt.pk: answer.prompt.model_answer for answer in shown}
    statements = statements_of(paper)
    complete = Counter(s["prompt"] for s in statements if not s["problems"])
    for row in wanted:
        row["have"] = complete[str(row["prompt"].key)]
        row["model_answer"] = answers.get(row["prompt"].pk, "")
        row["bars"] = span_label(page["outline"], row["prompt"].first_bar, row["prompt"].last_bar)
    page.update(
        assignment=assignment,
        assignment_version=version,
        paper=paper,
        wanted=wanted,
        statements=statements,
        writable=may_write(paper, now),
        closes_at=closing,
        closed=bool(closing and closing <= now),
        feedback=[] if page["locks"].page else feedback_of(paper, request.user, now),
        stages=stages_of(way, paper, page["outline"]),
        survey=None
        if page["locks"].page
        else survey_of(paper, way, request.user, page["outline"], now),
        recalling=way.recalling,
        by_ear=way.recalling or (way.current or {}).get("kind") == Kind.FIRST_HEARING,
        enrolment=enrolment_of(request.user, assignment.course),
        released=paper.state == Paper.State.RELEASED,
        **refused,
    )
    return _rendered(request, page, refused=bool(refused))


def _rendered(request: SignedRequest, page: dict[str, Any], *, refused: bool) -> HttpResponse:
    """The page, and whether the browser may keep it over a reload without a line."""
    response = render(request, "submissions/read.html", page, status=422 if refused else 200)
    version, locks = page["version"], page["locks"]
    if locks.any or locks.facts:
        files = version.score.versions.values_list("public_id", flat=True)
        kept = ["drop", request.user.public_id, *files]
    else:
        kept = ["keep", request.user.public_id, version.public_id]
    response["Offline"] = " ".join(map(str, kept))
    return response


@with_sound
@require_GET
@login_required
def own_reading(request: SignedRequest, course_id: str, score_id: str) -> HttpResponse:
    """A score of a course, whole, without an assignment."""
    return show_reading(request, course_id, score_id)


def show_reading(
    request: SignedRequest, course_id: str, score_id: str, **refused: Any
) -> HttpResponse:
    """The score's page; `refused` as of a paper's."""
    course = visible_course(request.user, course_id)
    score = get_object_or_404(
        Score.objects.readable_by(request.user).filter(courses=course), public_id=score_id
    )
    version = read_version(score)
    if version is None:
        messages.info(request, "This score is still being prepared.")
        return redirect("course", course.public_id)
    page = {**_score_context(version, course, request), **refused}
    return _rendered(request, page, refused=bool(refused))


@require_POST
@login_required
def declare_edition(request: SignedRequest, course_id: str) -> HttpResponse:
    """The student says how many bars more the own copy counts."""
    course = visible_course(request.user, course_id)
    enrolment = enrolment_of(request.user, course)
    if enrolment is None:
        raise Http404
    try:
        declare(enrolment=enrolment, offset=request.POST.get("bars", ""))
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, _("Noted. Your statements are compared with that in mind."))
    assignment = request.POST.get("assignment")
    if assignment:
        return redirect("paper", as_id(assignment))
    return redirect("course", course.public_id)


@require_GET
@login_required
def kind_form(request: SignedRequest, kind: str) -> HttpResponse:
    """The fields of one kind, as a fragment."""
    if kind not in KINDS:
        raise Http404
    found = KINDS[kind]
    page = {"form": found.form(), "kind": found, "words": words_of(kind)}
    return render(request, "submissions/kinds/_with_words.html", page)
