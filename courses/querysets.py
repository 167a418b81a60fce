"""What a user may see, as querysets: the only doors to courses, scores, assignments."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

if TYPE_CHECKING:
    from courses.models import User


class CourseQuerySet(models.QuerySet[Any]):
    def taught_by(self, user: User) -> CourseQuerySet:
        return self.filter(tutor=user)

    def visible_to(self, user: User) -> CourseQuerySet:
        """Courses one teaches, assists or is an active student of."""
        return self.filter(
            Q(tutor=user)
            | Q(
                enrolments__user=user,
                enrolments__state="active",
                enrolments__role__in=["student", "assistant"],
            )
        ).distinct()


class EnrolmentQuerySet(models.QuerySet[Any]):
    def active(self) -> EnrolmentQuerySet:
        return self.filter(state="active")

    def students(self) -> EnrolmentQuerySet:
        return self.filter(role="student")


class ScoreQuerySet(models.QuerySet[Any]):
    def owned_by(self, user: User) -> ScoreQuerySet:
        return self.filter(tutor=user)

    def with_latest(self) -> ScoreQuerySet:
        """Adds `latest_state` and `latest_problem` of the newest file, in the same query."""
        from_newest = (
            self.model._meta.get_field("versions")
            .related_model._default_manager.filter(score=models.OuterRef("pk"))
            .order_by("-number")
        )
        return self.annotate(
            latest_state=models.Subquery(from_newest.values("state")[:1]),
            latest_problem=models.Subquery(from_newest.values("problem")[:1]),
        )

    def readable_by(self, user: User) -> ScoreQuerySet:
        """Own scores, and scores linked to a course one belongs to, unless taken down.

        Others than the tutor read a score no longer than the newest rights statement allows.
        """
        mine = self.filter(tutor=user)
        shared = self.in_use().filter(
            courses__enrolments__user=user,
            courses__enrolments__state="active",
            courses__enrolments__role__in=["student", "assistant"],
        )
        return self.filter(Q(pk__in=mine.values("pk")) | Q(pk__in=shared.values("pk")))

    def in_use(self) -> ScoreQuerySet:
        """Not taken down, and within the use that the newest rights statement allows."""
        allowed = Q(end_of_use__isnull=True) | Q(end_of_use__gte=timezone.localdate())
        return self.with_end_of_use().filter(allowed, taken_down_at__isnull=True)

    def with_end_of_use(self) -> ScoreQuerySet:
        """Adds `end_of_use`, the last day of the newest rights statement; None without limit."""
        rights = self.model._meta.get_field("rights").related_model._default_manager
        newest = rights.filter(score=models.OuterRef("pk")).order_by("-pk")
        return self.annotate(end_of_use=models.Subquery(newest.values("ends_on")[:1]))


class AssignmentQuerySet(models.QuerySet[Any]):
    def taught_by(self, user: User) -> AssignmentQuerySet:
        return self.filter(course__tutor=user)

    def reachable_by(self, user: User) -> AssignmentQuerySet:
        """Published assignments of courses the user studies in (open or not yet or closed).

        One for a group reaches that group alone.
        """
        return self.filter(
            Q(current__group=None) | Q(current__group=F("course__enrolments__group")),
            state="published",
            course__enrolments__user=user,
            course__enrolments__state="active",
            course__enrolments__role="student",
        ).distinct()
