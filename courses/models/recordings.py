"""Recordings of a score: a file with its own rights statement, and its bars tapped by the tutor."""

from __future__ import annotations

import uuid
from typing import Any, ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from courses.models.kept import Kept, KeptQuerySet
from courses.models.library import RightsStatement, ScoreVersion
from courses.models.people import User


def recording_key(instance: models.Model, filename: str) -> str:
    """A storage key that says nothing about the file."""
    return f"recordings/{uuid.uuid4().hex}"


class Order(models.TextChoices):
    """The bars as the recording has them: the repeats taken, or none of them."""

    PLAYED = "played", _("played as printed")
    ONCE = "once", _("once through, last endings only")


def no_taps() -> dict[str, Any]:
    return {"order": Order.PLAYED.value, "duration": 0, "taps": []}


class RecordingQuerySet(KeptQuerySet):
    def standing(self) -> RecordingQuerySet:
        """Not taken down."""
        return self.filter(taken_down_at=None)

    def in_use(self) -> RecordingQuerySet:
        """Standing, within the use that the statement allows, and with bars to follow."""
        allowed = Q(ends_on=None) | Q(ends_on__gte=timezone.localdate())
        return self.standing().filter(allowed, tappings__isnull=False).distinct()


class Recording(RightsStatement, Kept):
    """One uploaded recording. Another file, or another statement, is another recording.

    `draft` is the tutor's tapping as it goes: `order`, `duration` (s) and `taps`, each
    {"bar": index, "pass": n, "at": s}; `revision` counts how often it was saved.
    """

    changes: ClassVar[frozenset[str]] = frozenset({"taken_down_at", "draft", "revision"})

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    version = models.ForeignKey(ScoreVersion, on_delete=models.CASCADE, related_name="recordings")
    name = models.CharField(max_length=150)
    performers = models.CharField(max_length=300, blank=True)
    file = models.FileField(upload_to=recording_key)
    filename = models.CharField(max_length=150)  # as uploaded, for the tutor only
    media_type = models.CharField(max_length=40)
    size = models.PositiveBigIntegerField()
    sha256 = models.CharField(max_length=64)
    uploaded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    uploaded_at = models.DateTimeField(auto_now_add=True)
    taken_down_at = models.DateTimeField(null=True, blank=True)
    draft = models.JSONField(default=no_taps)
    revision = models.PositiveIntegerField(default=0)

    objects = RecordingQuerySet.as_manager()  # type: ignore[misc]

    class Meta:
        ordering = ["version", "pk"]

    def __str__(self) -> str:
        return f"{self.version}: {self.name}"


class Tapping(Kept):
    """Bars of a recording as the tutor gave them to be followed; tapped anew is a new row."""

    recording = models.ForeignKey(Recording, on_delete=models.CASCADE, related_name="tappings")
    number = models.PositiveIntegerField()
    order = models.CharField(max_length=10, choices=Order)
    duration = models.FloatField()  # s, of the whole file
    taps = models.JSONField()  # as in Recording.draft
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["recording", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["recording", "number"], name="tapping_number_once")
        ]

    def __str__(self) -> str:
        return f"{self.recording} taps {self.number}"
