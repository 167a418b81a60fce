"""Papers a user may reach."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.db import models

if TYPE_CHECKING:
    from courses.models import User


class PaperQuerySet(models.QuerySet[Any]):
    def of_student(self, user: User) -> PaperQuerySet:
        return self.filter(student=user)

    def taught_by(self, user: User) -> PaperQuerySet:
        return self.filter(assignment__course__tutor=user)
