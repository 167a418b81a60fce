"""From file to findings: the canonical copy and the runs over it."""

from __future__ import annotations

import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from courses.models import PartsRevision, ScoreVersion


def random_key(instance: models.Model, filename: str) -> str:
    """A storage key that says nothing about the file."""
    return f"readings/{uuid.uuid4().hex}"


class CanonicalCopy(models.Model):
    """The one MusicXML everything reads; never sent to students."""

    version = models.OneToOneField(ScoreVersion, on_delete=models.CASCADE, related_name="canonical")
    file = models.FileField(upload_to=random_key)
    sha256 = models.CharField(max_length=64)
    gate_version = models.CharField(max_length=20)
    title = models.CharField(max_length=300, blank=True)
    notices = models.JSONField(default=list)  # [{"code", "text", "bars", "part"}]
    outline = models.JSONField(default=dict)  # movements, bars (labels), parts: for pages
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        verbose_name_plural = "canonical copies"

    def __str__(self) -> str:
        return f"canonical copy of {self.version}"


class Run(models.Model):
    """One computed reading = (canonical copy, engine version, parts revision, settings)."""

    class State(models.TextChoices):
        WAITING = "waiting", _("waiting")
        READY = "ready", _("ready")
        FAILED = "failed", _("failed")

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    copy = models.ForeignKey(CanonicalCopy, on_delete=models.CASCADE, related_name="runs")
    parts_revision = models.ForeignKey(PartsRevision, on_delete=models.PROTECT, related_name="runs")
    engine_version = models.CharField(max_length=20)
    settings = models.JSONField(default=dict)  # engine Settings, only what differs
    settings_hash = models.CharField(max_length=64)
    state = models.CharField(max_length=10, choices=State, default=State.WAITING)
    current = models.BooleanField(default=False)  # the one pages and checks use
    table = models.FileField(upload_to=random_key, blank=True)  # engine.reader.store
    findings = models.FileField(upload_to=random_key, blank=True)  # JSON, all findings
    problem = models.TextField(blank=True)
    asked_at = models.DateTimeField(auto_now_add=True)
    ready_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["copy", "parts_revision", "engine_version", "settings_hash"],
                name="run_once",
            ),
            models.UniqueConstraint(
                fields=["copy"], condition=models.Q(current=True), name="one_current_run"
            ),
        ]

    def __str__(self) -> str:
        return f"run {self.pk} of {self.copy}"


class FindingRow(models.Model):
    """What is searched of a finding; the whole stands in the run's file at `ordinal`."""

    run = models.ForeignKey(Run, on_delete=models.CASCADE, related_name="rows")
    ordinal = models.PositiveIntegerField()
    kind = models.CharField(max_length=20)
    movement = models.PositiveSmallIntegerField()
    first_bar = models.PositiveIntegerField()
    last_bar = models.PositiveIntegerField()
    parts = models.JSONField(default=list)  # part ids
    confidence = models.FloatField()
    sentence = models.JSONField()  # {"template", "params"}

    class Meta:
        ordering = ["run", "ordinal"]
        indexes = [models.Index(fields=["run", "first_bar", "last_bar", "kind"])]

    def __str__(self) -> str:
        return f"{self.kind} {self.first_bar}-{self.last_bar}"
