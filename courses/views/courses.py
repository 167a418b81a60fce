"""Courses: list, page, who is in them."""

from __future__ import annotations

from collections.abc import Iterable

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from courses.access import SignedRequest, own_course, own_enrolment, tutor_required, visible_course
from courses.forms import CourseForm
from courses.ids import as_id
from courses.models import Assignment, Course, Score, User
from courses.services import joining


@require_GET
@login_required
def course_list(request: SignedRequest) -> HttpResponse:
    found = Course.objects.visible_to(request.user).select_related("tutor").order_by("title")
    asked = request.user.enrolments.filter(state="asked").select_related("course")
    page = {"courses": found, "asked": asked, "here": "courses"}
    return render(request, "courses/courses.html", page)


@require_http_methods(["GET", "POST"])
@tutor_required
def new_course(request: SignedRequest) -> HttpResponse:
    before = Course.objects.taught_by(request.user).order_by("-pk").first()
    form = CourseForm(request.POST or None, initial={"zone": before.zone} if before else None)
    if form.is_valid():
        course = form.save(commit=False)
        course.tutor = request.user
        course.save()
        return redirect("course", course.public_id)
    return render(request, "courses/course_form.html", {"form": form, "here": "courses"})


@require_http_methods(["GET", "POST"])
@tutor_required
def edit_course(request: SignedRequest, course_id: str) -> HttpResponse:
    course = own_course(request.user, course_id)
    form = CourseForm(request.POST or None, instance=course)
    if form.is_valid():
        form.save()
        return redirect("course", course.public_id)
    page = {"form": form, "course": course, "here": "courses"}
    return render(request, "courses/course_form.html", page)


@require_GET
@login_required
def course_page(request: SignedRequest, course_id: str) -> HttpResponse:
    course = visible_course(request.user, course_id)
    teaching = course.tutor_id == request.user.pk
    page = {"course": course, "teaching": teaching, "here": "courses"}
    page["scores"] = course.scores.filter(taken_down_at=None).select_related("work")
    assignments = course.assignments.select_related("current")
    if teaching:
        page["assignments"] = assignments
        page["enrolments"] = course.enrolments.select_related("user", "group").order_by(
            "state", "user__display_name"
        )
        page["invitation"] = course.invitations.filter(
            role="student", revoked_at=None, expires_at__gt=timezone.now()
        ).first()
        page["library"] = (
            Score.objects.owned_by(request.user)
            .filter(taken_down_at=None, versions__state="ready")
            .exclude(courses=course)
            .select_related("work")
            .distinct()
        )
    else:
        page["assignments"] = _as_dated_for(request.user, assignments.filter(state="published"))
    return render(request, "courses/course.html", page)


def _as_dated_for(student: User, found: Iterable[Assignment]) -> list[Assignment]:
    """Assignments with the closing time that holds for this student."""
    own = {e.assignment_id: e.closes_at for e in student.extensions.all()}
    rows = list(found)
    for row in rows:
        closes = row.current.closes_at if row.current else None
        longer = own.get(row.pk)
        row.closes_for_me = (  # type: ignore[attr-defined]
            longer if longer and closes and longer > closes else closes
        )
    return rows


@require_POST
@tutor_required
def new_word(request: SignedRequest, course_id: str) -> HttpResponse:
    course = own_course(request.user, course_id)
    joining.invite(course=course, by=request.user)
    messages.success(request, _("A new invitation word; the old one no longer opens the course."))
    return redirect("course", course.public_id)


@require_POST
@tutor_required
def link_score(request: SignedRequest, course_id: str) -> HttpResponse:
    """Put a score of the library into the course, or take it out."""
    course = own_course(request.user, course_id)
    score = get_object_or_404(
        Score.objects.owned_by(request.user), public_id=as_id(request.POST.get("score"))
    )
    if request.POST.get("out"):
        course.scores.remove(score)
    else:
        course.scores.add(score)
    return redirect("course", course.public_id)


@require_POST
@tutor_required
def decide(request: SignedRequest, enrolment_id: str) -> HttpResponse:
    enrolment = own_enrolment(request.user, enrolment_id)
    yes = request.POST.get("answer") == "yes"
    joining.decide(enrolment=enrolment, by=request.user, yes=yes)
    name, course = enrolment.user.display_name, enrolment.course
    said = _("{name} is in “{course}”.") if yes else _("{name} was not taken into “{course}”.")
    messages.success(request, said.format(name=name, course=course.title))
    if request.POST.get("from") == "desk":
        return redirect("desk")
    return redirect("course", course.public_id)


@require_POST
@tutor_required
def take_out(request: SignedRequest, enrolment_id: str) -> HttpResponse:
    enrolment = joining.take_out(enrolment=own_enrolment(request.user, enrolment_id),
                                 by=request.user)  # fmt: skip
    said = _("{name} is no longer in “{course}”. Papers stay on the record.")
    name, course = enrolment.user.display_name, enrolment.course
    messages.success(request, said.format(name=name, course=course.title))
    return redirect("course", course.public_id)


@require_POST
@tutor_required
def close_invitation(request: SignedRequest, course_id: str) -> HttpResponse:
    course = own_course(request.user, course_id)
    joining.close_invitation(course=course, by=request.user)
    messages.success(request, _("The invitation is closed: the word opens the course no longer."))
    return redirect("course", course.public_id)
