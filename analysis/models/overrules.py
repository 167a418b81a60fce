"""The tutor's word on a computed fact, kept by value."""

from __future__ import annotations

import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from courses.models import Place, User


class Overrule(Place):
    class Says(models.TextChoices):
        ABSENT = "absent", _("it is not there")
        OTHER = "other", _("it is something else")
        ADDED = "added", _("it is there, though not computed")

    class State(models.TextChoices):
        PROPOSED = "proposed", _("proposed by an assistant")
        DECIDED = "decided", _("decided by the tutor")
        WITHDRAWN = "withdrawn", _("withdrawn")

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    kind = models.CharField(max_length=20)
    parts = models.JSONField(default=list)  # [{"part": id, "player": n|null}]
    says = models.CharField(max_length=10, choices=Says)
    overruled = models.JSONField(null=True, blank=True)  # the finding's value
    value = models.JSONField(null=True, blank=True)  # the tutor's, a claim without id
    reason = models.TextField()
    state = models.CharField(max_length=10, choices=State, default=State.DECIDED)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="overrules")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return f"{self.kind} {self.says}: {self.reason[:40]}"


class OverrulePlace(Place):
    """Where a word of the tutor stands in another file of its score, in that file's parts."""

    overrule = models.ForeignKey(Overrule, on_delete=models.CASCADE, related_name="places")
    parts = models.JSONField(default=list)
    value = models.JSONField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["overrule", "version"], name="overrule_placed_once_a_file"
            )
        ]

    def __str__(self) -> str:
        return f"{self.overrule} in {self.version}"
