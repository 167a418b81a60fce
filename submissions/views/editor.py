"""Writing an assignment: a draft one can leave at any time, then published."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from courses import drafts
from courses.access import SignedRequest, own_course, tutor_required
from courses.forms import ZONES
from courses.models import Assignment, Prompt
from courses.services import assignments
from submissions import stage_form
from submissions.access import own_assignment
from submissions.editor import outline_for, read_draft, score_choices, with_bars
from submissions.kinds import KINDS
from submissions.models import Paper
from submissions.strictness import form_rows


@require_POST
@tutor_required
def new_assignment(request: SignedRequest, course_id: str) -> HttpResponse:
    course = own_course(request.user, course_id)
    title = request.POST.get("title", "").strip()
    try:
        made = assignments.create_assignment(course=course, by=request.user, title=title)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("course", course.public_id)
    return redirect("assignment", made.public_id)


@require_http_methods(["GET", "POST"])
@tutor_required
def assignment_page(request: SignedRequest, assignment_id: str) -> HttpResponse:
    assignment = own_assignment(request.user, assignment_id)
    status = 200
    if request.method == "POST":
        draft, said = read_draft(request.POST, assignment)
        title = request.POST.get("title", "").strip()[:150] or assignment.title
        try:
            assignment = assignments.save_draft(
                assignment=assignment,
                by=request.user,
                title=title,
                draft=draft,
                if_match=_revision(request),
            )
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
            assignment.title, assignment.draft = title, draft
            return render(
                request, "submissions/assignment.html", _page(assignment, theirs=True), status=409
            )
        for sentence in said:
            messages.error(request, sentence)
        if "publish" in request.POST and not said:
            return _publish(request, assignment)
        if not said:
            messages.success(request, _("Draft kept."))
            return redirect("assignment", assignment.public_id)
        status = 422
    return render(request, "submissions/assignment.html", _page(assignment), status=status)


def _revision(request: SignedRequest) -> int:
    """The revision the form was made from; 0, which is never current, for what is no number."""
    text = request.POST.get("revision", "")
    return int(text) if text.isdecimal() else 0


def _publish(request: SignedRequest, assignment: Assignment) -> HttpResponse:
    try:
        assignments.publish(assignment=assignment, by=request.user)
    except ValidationError as error:
        for sentence in error.messages:
            messages.error(request, sentence)
        return redirect("assignment", assignment.public_id)
    messages.success(request, _("Published. Your students find it on their desk."))
    return redirect("course", assignment.course.public_id)


def _page(assignment: Assignment, *, theirs: bool = False) -> dict[str, Any]:
    draft = {**drafts.empty_draft(), **assignment.draft}
    return {
        "assignment": assignment,
        "draft": draft,
        "prompts": with_bars(draft),
        "scores": score_choices(assignment),
        "kinds": KINDS.values(),
        "checked": Prompt.Checked.choices,
        "strict": form_rows(draft),
        "given_back": assignment.papers.filter(state=Paper.State.RELEASED).count(),
        "zones": ZONES,
        "hindrances": [] if theirs else assignments.hindrances(assignment),
        "theirs": theirs,
        "here": "courses",
        **stage_form.for_page(draft, outline_for(draft)),
    }
