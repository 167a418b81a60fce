"""The only doors to papers, statements and finds for views: 404 for what one may not see."""

from __future__ import annotations

from django.http import Http404
from django.shortcuts import get_object_or_404
from django.utils import timezone

from courses.models import Assignment, User
from submissions.models import Find, Observation, ObservationVersion, Paper
from submissions.sight import may_see


def own_assignment(user: User, public_id: object) -> Assignment:
    """An assignment of a course the user teaches."""
    return get_object_or_404(
        Assignment.objects.taught_by(user).select_related("course", "current__score_version"),
        public_id=public_id,
    )


def assignment_for_student(user: User, public_id: object) -> Assignment:
    return get_object_or_404(
        Assignment.objects.reachable_by(user).select_related(
            "course", "current__score_version__score__work"
        ),
        public_id=public_id,
    )


def own_paper(user: User, public_id: object) -> Paper:
    paper = get_object_or_404(
        Paper.objects.of_student(user).select_related(
            "assignment__course", "assignment__current__score_version"
        ),
        public_id=public_id,
    )
    if not may_see(user, paper, timezone.now()):
        raise Http404
    return paper


def own_statement(user: User, public_id: object) -> Observation:
    return get_object_or_404(
        Observation.objects.filter(student=user).select_related("paper__assignment__course"),
        public_id=public_id,
    )


def taught_statement(user: User, public_id: object) -> ObservationVersion:
    """The latest version of a handed-in statement in a course the user teaches."""
    observation = get_object_or_404(
        Observation.objects.filter(
            paper__assignment__course__tutor=user, state=Observation.State.HANDED_IN
        ).select_related("paper__assignment__course"),
        public_id=public_id,
    )
    return observation.versions.select_related("version", "observation__paper").get(
        number=observation.number
    )


def seen_find(user: User, public_id: object) -> Find:
    find = get_object_or_404(
        Find.objects.select_related("course", "student", "version__canonical"),
        public_id=public_id,
    )
    if not may_see(user, find, timezone.now()):
        raise Http404
    return find


def seen_statement(user: User, public_id: object) -> Observation:
    observation = get_object_or_404(
        Observation.objects.select_related("paper__assignment__course", "student"),
        public_id=public_id,
    )
    if not may_see(user, observation, timezone.now()):
        raise Http404
    return observation
