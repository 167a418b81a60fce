"""The queue of record: a job is a row written in its cause's transaction."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _


class Job(models.Model):
    class State(models.TextChoices):
        QUEUED = "queued", _("waiting")
        RUNNING = "running", _("at work")
        DONE = "done", _("done")
        FAILED = "failed", _("stopped after three attempts")

    class Klass(models.TextChoices):
        INTERACTIVE = "interactive"  # somebody waits: a check, a page
        SCORE = "score"  # gate, engrave, analyse
        BULK = "bulk"  # re-checks, reports

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    kind = models.CharField(max_length=40)
    key = models.CharField(max_length=200, unique=True)  # one job per effect
    payload = models.JSONField(default=dict)
    klass = models.CharField(max_length=12, choices=Klass, default=Klass.INTERACTIVE)
    tutor = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.CASCADE, related_name="+"
    )  # whose queue it stands in, for fairness
    state = models.CharField(max_length=10, choices=State, default=State.QUEUED)
    attempts = models.PositiveSmallIntegerField(default=0)
    not_before = models.DateTimeField(null=True, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    lease_token = models.UUIDField(null=True, blank=True)
    lease_owner = models.CharField(max_length=64, blank=True)  # the message whose process has it
    progress = models.PositiveSmallIntegerField(default=0)  # percent
    doing = models.CharField(max_length=120, blank=True)  # "engraving page 3 of 53"
    problem = models.TextField(blank=True)  # a sentence for people
    created_at = models.DateTimeField(auto_now_add=True)
    started_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        app_label = "analysis"
        ordering = ["id"]
        indexes = [
            models.Index(fields=["state", "klass", "id"]),
            models.Index(fields=["klass", "started_at"]),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.key} ({self.state})"


class Effect(models.Model):
    """Written in the same transaction as a job's effect: proves it happened once."""

    key = models.CharField(max_length=200, unique=True)
    job = models.ForeignKey(Job, null=True, on_delete=models.SET_NULL, related_name="effects")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "analysis"

    def __str__(self) -> str:
        return self.key
