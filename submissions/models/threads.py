"""Finds: messages tied to bars; threads on finds and on statements, on the record."""

from __future__ import annotations

import uuid

from django.db import models

from courses.models import Course, Place, User
from courses.models.kept import Kept
from submissions.models.observations import Observation


class Find(Place):
    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="finds")
    student = models.ForeignKey(User, on_delete=models.PROTECT, related_name="finds")
    client_key = models.CharField(max_length=64)
    title = models.CharField(max_length=150, blank=True)
    parts = models.JSONField(default=list, blank=True)
    shown_to_group = models.BooleanField(default=False)  # by the student's own yes
    created_at = models.DateTimeField(auto_now_add=True)
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["movement", "first_bar", "id"]
        constraints = [models.UniqueConstraint(fields=["student", "client_key"], name="find_once")]

    def __str__(self) -> str:
        return self.title or f"find {self.public_id}"


class Message(Kept):
    """One turn of a thread; the thread is a find or a statement."""

    changes = frozenset({"read_at"})

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    find = models.ForeignKey(
        Find, null=True, blank=True, on_delete=models.CASCADE, related_name="messages"
    )
    observation = models.ForeignKey(
        Observation, null=True, blank=True, on_delete=models.CASCADE, related_name="messages"
    )
    author = models.ForeignKey(User, on_delete=models.PROTECT, related_name="messages")
    client_key = models.CharField(max_length=64)
    text = models.TextField()
    read_at = models.DateTimeField(null=True, blank=True)  # by the other side
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["author", "client_key"], name="message_once"),
            models.CheckConstraint(
                condition=models.Q(find__isnull=False) ^ models.Q(observation__isnull=False),
                name="message_in_one_thread",
            ),
        ]

    def __str__(self) -> str:
        return self.text[:60]
