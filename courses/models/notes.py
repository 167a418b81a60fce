"""The tutor's notes in the margin: private, or published as a guided reading."""

from __future__ import annotations

import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from courses.models.course import Course
from courses.models.people import User
from courses.models.places import Place


class Note(Place):
    class State(models.TextChoices):
        PRIVATE = "private", _("private")
        PUBLISHED = "published", _("published")

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    author = models.ForeignKey(User, on_delete=models.PROTECT, related_name="notes")
    course = models.ForeignKey(
        Course, null=True, blank=True, on_delete=models.CASCADE, related_name="notes"
    )  # null: for the tutor alone, whatever the state
    text = models.TextField()
    state = models.CharField(max_length=10, choices=State, default=State.PRIVATE)
    order = models.PositiveSmallIntegerField(null=True, blank=True)  # a stop of the walk
    lit = models.JSONField(default=list, blank=True)  # [{"part": id, "player": n|null}]
    sounding = models.JSONField(default=list, blank=True)  # parts heard at this stop
    finding = models.JSONField(null=True, blank=True)  # a finding by value
    after_release = models.BooleanField(default=False)  # hidden while an assignment is open
    revision = models.PositiveIntegerField(default=1)  # If-Match
    created_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["version", "order", "first_bar", "id"]

    def __str__(self) -> str:
        return self.text[:60]


class NotePlace(Place):
    """Where a note stands in another file of its score than the one it was written on."""

    note = models.ForeignKey(Note, on_delete=models.CASCADE, related_name="places")
    lit = models.JSONField(default=list, blank=True)
    sounding = models.JSONField(default=list, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["note", "version"], name="note_placed_once_a_file")
        ]

    def __str__(self) -> str:
        return f"{self.note} in {self.version}"
