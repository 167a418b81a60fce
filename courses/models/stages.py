"""Steps through the stages of an assignment: what a student has handed in, for good."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from courses.models.assignments import Assignment
from courses.models.kept import Kept
from courses.models.people import User


class Step(Kept):
    """A stage handed in, or the first answer to a prompt given. Append-only."""

    #: Stands for all stages and prompts: the paper was given back.
    EVERYTHING: ClassVar[str] = "*"

    assignment = models.ForeignKey(Assignment, on_delete=models.CASCADE, related_name="steps")
    student = models.ForeignKey(User, on_delete=models.CASCADE, related_name="steps")
    stage = models.CharField(max_length=20, blank=True)  # "" for a step of a prompt
    prompt_key = models.UUIDField(null=True, blank=True)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["assignment", "student", "stage"],
                condition=models.Q(prompt_key=None),
                name="stage_handed_in_once",
            ),
            models.UniqueConstraint(
                fields=["assignment", "student", "prompt_key"],
                condition=models.Q(prompt_key__isnull=False),
                name="first_answer_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.student}: {self.stage or self.prompt_key}"
