"""The notebook: what a reader keeps for good, across works, courses and tutors."""

from __future__ import annotations

import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from courses.models import ScoreVersion, User


class NotebookEntry(models.Model):
    """A note of one's own, or a thing that a composer does.

    Where it stands is kept in words as well: it outlasts the course and the score.
    """

    class About(models.TextChoices):
        NOTE = "note", _("note")
        HABIT = "habit", _("a thing this composer does")

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    owner = models.ForeignKey(User, on_delete=models.CASCADE, related_name="notebook")
    client_key = models.CharField(max_length=64)  # made by the browser: a retry is no twin
    about = models.CharField(max_length=6, choices=About, default=About.NOTE)
    composer = models.CharField(max_length=120, blank=True)
    text = models.TextField()
    version = models.ForeignKey(
        ScoreVersion, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    first_bar = models.PositiveIntegerField(null=True, blank=True)
    last_bar = models.PositiveIntegerField(null=True, blank=True)
    score_label = models.CharField(max_length=310, blank=True)
    bars_label = models.CharField(max_length=60, blank=True)
    number = models.PositiveIntegerField(default=1)  # counts changes, If-Match
    made_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.UniqueConstraint(fields=["owner", "client_key"], name="notebook_entry_once")
        ]

    def __str__(self) -> str:
        return self.text[:60]
