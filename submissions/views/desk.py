"""The desk of the day: what needs an answer, in one column."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.decorators import login_required
from django.db.models import Count, Exists, OuterRef, Q, Subquery
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from courses.access import SignedRequest
from courses.models import Assignment, Course, Enrolment, Score, ScoreVersion, User
from submissions import changes
from submissions.models import Find, Message, Observation, Paper, Ruling


@require_GET
@login_required
def desk(request: SignedRequest) -> HttpResponse:
    user = request.user
    page: dict[str, Any] = {"here": "desk"}
    if user.is_tutor:
        page.update(tutor_desk(user))
    page.update(student_desk(user))
    return render(request, "submissions/desk.html", page)


def tutor_desk(user: User) -> dict[str, Any]:
    """What waits for the tutor, oldest first."""
    ruled = Ruling.objects.filter(
        current=True,
        observation_version__observation=OuterRef("pk"),
        observation_version__number=OuterRef("number"),
    )
    open_ones = Observation.objects.filter(
        ~Exists(ruled), paper__assignment=OuterRef("pk"), state=Observation.State.HANDED_IN
    ).order_by()
    waiting = (
        Assignment.objects.taught_by(user)
        .annotate(
            papers_in=Count("papers", filter=Q(papers__state=Paper.State.HANDED_IN), distinct=True),
            to_release=Count("papers", filter=Q(papers__state=Paper.State.RULED), distinct=True),
            to_rule=Subquery(
                open_ones.values("paper__assignment").annotate(n=Count("pk")).values("n")
            ),
        )
        .filter(Q(papers_in__gt=0) | Q(to_release__gt=0))
        .select_related("course")
        .order_by("course__title", "title")
    )
    threads = Message.objects.filter(
        observation__paper__assignment__course__tutor=user, read_at=None
    ).exclude(author=user)
    return {
        "asked": Enrolment.objects.filter(course__tutor=user, state=Enrolment.State.ASKED)
        .select_related("user", "course")
        .order_by("asked_at"),
        "scores_waiting": Score.objects.owned_by(user)
        .with_latest()
        .filter(
            latest_state__in=[
                ScoreVersion.State.PARTS,
                ScoreVersion.State.REFUSED,
                ScoreVersion.State.FAILED,
            ],
            taken_down_at=None,
        )
        .select_related("work"),
        "to_review": waiting,
        "changed": _changed(user),
        "finds_waiting": Find.objects.filter(course__tutor=user, answered_at=None)
        .select_related("student", "course", "version__canonical", "version__score__work")
        .order_by("created_at"),
        "questions": threads.select_related("author", "observation").order_by("at"),
        "has_score": Score.objects.owned_by(user).exists(),
        "has_course": Course.objects.taught_by(user).exists(),
    }


def _changed(user: User) -> list[dict[str, Any]]:
    """Assignments with flags that are not what the tutor ruled on any more."""
    counts = changes.waiting(user)
    found = Assignment.objects.filter(pk__in=counts).select_related("course")
    return [{"assignment": a, "n": counts[a.pk]} for a in found.order_by("course__title", "title")]


def student_desk(user: User) -> dict[str, Any]:
    """What a student can go on with."""
    now = timezone.now()
    papers = {p.assignment_id: p for p in Paper.objects.of_student(user)}
    open_now: list[dict[str, Any]] = []
    closed: list[dict[str, Any]] = []
    given_back: list[dict[str, Any]] = []
    assignments = (
        Assignment.objects.reachable_by(user)
        .select_related("course", "current")
        .order_by("current__closes_at", "pk")
    )
    extended = {e.assignment_id: e.closes_at for e in user.extensions.all()}
    for assignment in assignments:
        paper = papers.get(assignment.pk)
        version = assignment.current
        if version is None or (version.opens_at and version.opens_at > now):
            continue
        row = {
            "assignment": assignment,
            "version": version,
            "paper": paper,
            "closes_at": extended.get(assignment.pk) or version.closes_at,
        }
        if paper and paper.state == Paper.State.RELEASED:
            given_back.append(row)
        elif row["closes_at"] and row["closes_at"] <= now:
            closed.append(row)
        else:
            open_now.append(row)
    return {
        "to_read": open_now,
        "closed": closed,
        "given_back": given_back,
        "waiting": user.enrolments.filter(state=Enrolment.State.ASKED).select_related("course"),
        "my_courses": Course.objects.filter(
            enrolments__user=user, enrolments__state=Enrolment.State.ACTIVE
        ).prefetch_related("scores__work"),
        "answers": Message.objects.filter(
            Q(find__student=user) | Q(observation__student=user), read_at=None
        )
        .exclude(author=user)
        .select_related("find", "observation", "author"),
    }
