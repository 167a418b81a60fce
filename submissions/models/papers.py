"""A paper: one student's work on one assignment."""

from __future__ import annotations

import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from courses.models import Assignment, User
from courses.models.kept import Kept
from submissions.querysets import PaperQuerySet


class Paper(models.Model):
    class State(models.TextChoices):
        OPEN = "open", _("being written")
        HANDED_IN = "handed-in", _("handed in")
        RULED = "ruled", _("ruled, not yet released")
        RELEASED = "released", _("released")

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    assignment = models.ForeignKey(Assignment, on_delete=models.PROTECT, related_name="papers")
    student = models.ForeignKey(User, on_delete=models.PROTECT, related_name="papers")
    state = models.CharField(max_length=10, choices=State, default=State.OPEN)
    handed_in_at = models.DateTimeField(null=True, blank=True)
    late = models.BooleanField(default=False)
    last_place = models.JSONField(default=dict, blank=True)  # where the student was reading
    created_at = models.DateTimeField(auto_now_add=True)

    objects = PaperQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["assignment", "student"], name="one_paper_each")
        ]

    def __str__(self) -> str:
        return f"{self.student}: {self.assignment}"


class Release(Kept):
    """The moment a paper's flags and replies became visible. Append-only."""

    paper = models.ForeignKey(Paper, on_delete=models.CASCADE, related_name="releases")
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return f"{self.paper} released {self.at:%Y-%m-%d}"
