"""Who saw and did what: append-only, ids and verbs, never contents."""

from __future__ import annotations

from django.db import models

from courses.models.kept import Kept
from courses.models.people import User


class Event(Kept):
    actor = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    verb = models.CharField(max_length=40)  # "score.uploaded", "answers.shown" ...
    thing = models.CharField(max_length=40)  # model name
    thing_id = models.CharField(max_length=40)  # its public id
    course = models.ForeignKey(
        "courses.Course", null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    data = models.JSONField(default=dict, blank=True)
    at = models.DateTimeField(auto_now_add=True, db_index=True)

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.verb} {self.thing}"
