"""Checks by the engine and rulings by the tutor. Both append-only."""

from __future__ import annotations

import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from analysis.models import Run
from courses.models import User
from courses.models.kept import Kept
from submissions.models.observations import ObservationVersion


class Flag(models.TextChoices):
    AGREES = "agrees", _("agrees")
    PARTLY = "partly", _("partly")
    CONFLICTS = "conflicts", _("conflicts")
    EAR = "ear", _("the tutor's ear")


class Check(Kept):
    """(observation version, run, checker version, settings, overrules) -> answer."""

    changes = frozenset(
        {"current", "proposal", "shown_at", "kept_back", "before", "since", "left_at"}
    )

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    observation_version = models.ForeignKey(
        ObservationVersion, on_delete=models.CASCADE, related_name="checks"
    )
    run = models.ForeignKey(Run, null=True, on_delete=models.PROTECT, related_name="checks")
    checker_version = models.CharField(max_length=20)
    settings = models.JSONField(default=dict)  # what differed from the defaults: standing.asked
    settings_hash = models.CharField(max_length=64)
    overrules = models.JSONField(default=list)  # marks of those in force, in their order
    overrule_revision = models.CharField(max_length=64)  # their hash
    flag = models.CharField(max_length=10, choices=Flag)
    cause = models.CharField(max_length=24, blank=True)
    confidence = models.FloatField(default=0)
    answer = models.JSONField()  # contracts: an answer
    sentences = models.JSONField(default=dict)  # template ids and parameters
    current = models.BooleanField(default=True)
    proposal = models.BooleanField(default=False)  # differs from a frozen one: for the tutor
    shown_at = models.DateTimeField(null=True, blank=True)  # frozen from then on
    kept_back = models.BooleanField(default=False)  # for the tutor alone, whatever is released
    before = models.ForeignKey(
        "self", null=True, on_delete=models.SET_NULL, related_name="+"
    )  # the check that counted until this one did
    since = models.DateTimeField(null=True)  # from when on it has counted
    left_at = models.DateTimeField(null=True)  # a proposal the tutor has declined
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.UniqueConstraint(
                fields=[
                    "observation_version",
                    "run",
                    "checker_version",
                    "settings_hash",
                    "overrule_revision",
                ],
                name="checked_once",
            ),
            models.UniqueConstraint(
                fields=["observation_version"],
                condition=models.Q(current=True),
                name="one_current_check",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.flag} on {self.observation_version}"


class Ruling(Kept):
    """The tutor's word, which always wins. A change of mind is a new row."""

    changes = frozenset({"current"})

    class Level(models.TextChoices):
        NONE = "", _("no word")
        SECURE = "secure", _("place and fact secure")
        NEARLY = "nearly", _("fact nearly")
        UNPROVED = "unproved", _("idea good but unproved")
        MISREAD = "misread", _("misread")
        TASTE = "taste", _("taste, thank you")
        GREAT = "great", _("great find")

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    observation_version = models.ForeignKey(
        ObservationVersion, on_delete=models.CASCADE, related_name="rulings"
    )
    check_shown = models.ForeignKey(
        Check, null=True, on_delete=models.PROTECT, related_name="rulings"
    )  # the check the tutor had before the eyes
    flag = models.CharField(max_length=10, choices=Flag)
    overrules = models.BooleanField(default=False)  # differs from the check's flag
    level = models.CharField(max_length=10, choices=Level, default=Level.NONE, blank=True)
    reason = models.CharField(max_length=300, blank=True)
    reply = models.TextField(blank=True)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    current = models.BooleanField(default=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["observation_version"],
                condition=models.Q(current=True),
                name="one_current_ruling",
            )
        ]

    def __str__(self) -> str:
        return f"{self.flag} by {self.by}"
