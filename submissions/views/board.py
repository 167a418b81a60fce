"""The board of an assignment, and giving papers back."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_POST

from courses.access import SignedRequest, tutor_required
from courses.drafts import instant
from courses.ids import as_id
from courses.models import Assignment, User
from courses.services.assignments import extend, take_time_back
from submissions.access import own_assignment
from submissions.models import Paper
from submissions.panels.registry import PANELS
from submissions.services.papers import release, release_ruled


@require_GET
@tutor_required
def board(request: SignedRequest, assignment_id: str) -> HttpResponse:
    return _board(request, own_assignment(request.user, assignment_id))


def _board(request: SignedRequest, assignment: Assignment, **more: Any) -> HttpResponse:
    panels = [{"panel": p, **p.data(assignment)} for p in PANELS]
    ruled = assignment.papers.filter(state=Paper.State.RULED).count()
    closes = assignment.current.closes_at if assignment.current else None
    page = {
        "assignment": assignment,
        "panels": panels,
        "ruled": ruled,
        "still_open": closes if closes and closes > timezone.now() else None,
        "students": assignment.course.enrolments.active().students().select_related("user"),
        "extensions": assignment.extensions.select_related("student"),
        "here": "courses",
        **more,
    }
    status = 422 if "problem" in more else 200
    return render(request, "submissions/board.html", page, status=status)


@require_POST
@tutor_required
def more_time(request: SignedRequest, assignment_id: str) -> HttpResponse:
    """One student's own closing time, on the assignment's clock; without a time it ends."""
    assignment = own_assignment(request.user, assignment_id)
    typed = {name: request.POST.get(name, "").strip() for name in ("student", "until", "reason")}
    student = User.objects.filter(public_id=as_id(typed["student"])).first()
    zone = assignment.current.zone if assignment.current else assignment.course.zone
    try:
        if student is None:
            raise ValidationError(_("Choose a student of this course."))
        until = instant(typed["until"], zone)
        if until is None:
            take_time_back(assignment=assignment, student=student, by=request.user)
            said = _("{name} has everybody's closing time.")
        else:
            extend(assignment=assignment, student=student, by=request.user, closes_at=until,
                   reason=typed["reason"][:200])  # fmt: skip
            said = _("{name} has more time. Nobody else is told.")
    except ValidationError as error:
        return _board(request, assignment, typed=typed, problem=" ".join(error.messages))
    messages.success(request, said.format(name=student))
    return redirect("board", assignment.public_id)


@require_POST
@tutor_required
def give_back(request: SignedRequest, assignment_id: str) -> HttpResponse:
    """Give back every wholly ruled paper, or one."""
    assignment = own_assignment(request.user, assignment_id)
    if paper_id := request.POST.get("paper"):
        paper = get_object_or_404(assignment.papers, public_id=as_id(paper_id))
        if paper.state != Paper.State.RULED:
            messages.error(request, _("This paper still has statements without your ruling."))
            return redirect("board", assignment.public_id)
        release(paper=paper, by=request.user)
        n = 1
    else:
        n = release_ruled(assignment=assignment, by=request.user)
    if n:
        said = ngettext("{n} paper given back.", "{n} papers given back.", n).format(n=n)
        messages.success(request, said)
    else:
        messages.info(request, _("No paper is wholly ruled yet."))
    return redirect("board", assignment.public_id)
