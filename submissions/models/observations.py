"""A student's statements, in versions."""

from __future__ import annotations

import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from courses.models import Place, ScoreVersion, User
from courses.models.kept import Kept
from submissions.models.papers import Paper


class Observation(models.Model):
    """The thread of versions of one statement; the latest is what counts."""

    class State(models.TextChoices):
        DRAFT = "draft", _("draft")
        HANDED_IN = "handed-in", _("handed in")
        WITHDRAWN = "withdrawn", _("withdrawn")

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, related_name="observations")
    student = models.ForeignKey(User, on_delete=models.PROTECT, related_name="observations")
    prompt_key = models.UUIDField(null=True, blank=True)  # null: a free find of the assignment
    client_key = models.CharField(max_length=64)  # made by the browser: a retry is no twin
    state = models.CharField(max_length=10, choices=State, default=State.DRAFT)
    number = models.PositiveIntegerField(default=1)  # latest version, If-Match
    round = models.PositiveSmallIntegerField(default=1)  # 2: said after a second look
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["student", "paper", "client_key"], name="observation_client_key_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.student} {self.public_id}"


class ObservationVersion(Kept, Place):
    """What was said, at one moment. Never changed. A draft may have no place yet."""

    class Sense(models.TextChoices):
        SEEN = "seen", _("seen")
        HEARD = "heard", _("heard")
        BOTH = "both", _("seen and heard")

    observation = models.ForeignKey(Observation, on_delete=models.CASCADE, related_name="versions")
    version = models.ForeignKey(  # type: ignore[assignment]
        ScoreVersion, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    first_bar = models.PositiveIntegerField(null=True, blank=True)  # type: ignore[assignment]
    last_bar = models.PositiveIntegerField(null=True, blank=True)  # type: ignore[assignment]
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=20)
    claim = models.JSONField(default=dict)  # contracts: a claim; may be incomplete in a draft
    words = models.TextField(blank=True)
    sense = models.CharField(max_length=6, choices=Sense, default=Sense.SEEN)
    doubt = models.CharField(max_length=300, blank=True)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["observation", "-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["observation", "number"], name="observation_version_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} v{self.number}"
