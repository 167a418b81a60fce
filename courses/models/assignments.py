"""Assignments: a draft, and published versions that never change."""

from __future__ import annotations

import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from courses.models.course import Course, Group
from courses.models.kept import Kept
from courses.models.people import User
from courses.models.places import Place
from courses.querysets import AssignmentQuerySet


class Assignment(models.Model):
    class State(models.TextChoices):
        DRAFT = "draft", _("draft")
        PUBLISHED = "published", _("published")
        WITHDRAWN = "withdrawn", _("withdrawn")

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="assignments")
    title = models.CharField(max_length=150)
    state = models.CharField(max_length=10, choices=State, default=State.DRAFT)
    draft = models.JSONField(default=dict, blank=True)  # see courses.drafts
    revision = models.PositiveIntegerField(default=1)  # of the draft, If-Match
    current = models.ForeignKey(
        "courses.AssignmentVersion",
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )
    created_at = models.DateTimeField(auto_now_add=True)

    objects = AssignmentQuerySet.as_manager()

    class Meta:
        ordering = ["-created_at"]

    def __str__(self) -> str:
        return self.title


class AssignmentVersion(Kept):
    """What was published. Times are a UTC instant, the zone and the text on the wall."""

    assignment = models.ForeignKey(Assignment, on_delete=models.CASCADE, related_name="versions")
    number = models.PositiveSmallIntegerField()
    title = models.CharField(max_length=150)
    text = models.TextField(blank=True)
    score_version = models.ForeignKey(
        "courses.ScoreVersion", on_delete=models.PROTECT, related_name="+"
    )
    group = models.ForeignKey(Group, null=True, blank=True, on_delete=models.PROTECT)
    opens_at = models.DateTimeField(null=True, blank=True)
    closes_at = models.DateTimeField(null=True, blank=True)
    zone = models.CharField(max_length=60, default="UTC")
    opens_wall = models.CharField(max_length=40, blank=True)
    closes_wall = models.CharField(max_length=40, blank=True)
    settings = models.JSONField(default=dict, blank=True)  # engine Settings, only what differs
    kinds = models.JSONField(default=dict, blank=True)  # kind: Prompt.Checked, only what differs
    free_finds_min = models.PositiveSmallIntegerField(default=0)
    free_finds_max = models.PositiveSmallIntegerField(default=5)
    stages = models.JSONField(default=list, blank=True)  # see courses.stages; [] = all at once
    published_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    published_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["assignment", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["assignment", "number"], name="assignment_version_once")
        ]

    def __str__(self) -> str:
        return f"{self.title} v{self.number}"


class Prompt(Kept, Place):
    """One question on one passage."""

    class Checked(models.TextChoices):
        FACTS = "facts", _("facts are compared")
        FLAG_ONLY = "flag-only", _("flagged for me alone")
        LEFT_ALONE = "left-alone", _("not looked at")

    class Asking(models.TextChoices):
        ONCE = "once", _("statements")
        AGAIN = "again", _("answer, look again, answer again")
        RECALL = "recall", _("from memory, the page closed; then again with the page")

    key = models.UUIDField(default=uuid.uuid4, editable=False)  # the same over versions
    assignment_version = models.ForeignKey(
        AssignmentVersion, on_delete=models.CASCADE, related_name="prompts"
    )
    order = models.PositiveSmallIntegerField()
    title = models.CharField(max_length=150)
    text = models.TextField(blank=True)
    kinds = models.JSONField(default=list)  # claim kinds wanted; [] = any
    checked = models.CharField(max_length=12, choices=Checked, default=Checked.FACTS)
    wanted_min = models.PositiveSmallIntegerField(default=1)
    wanted_max = models.PositiveSmallIntegerField(default=3)
    shown_when_ruled = models.BooleanField(default=False)  # released paper by paper
    model_answer = models.TextField(blank=True)  # hidden until release
    stage = models.CharField(max_length=20, blank=True)  # "": asked at every stage
    asking = models.CharField(max_length=6, choices=Asking, default=Asking.ONCE)
    again_text = models.TextField(blank=True)  # said when the first answer is given

    class Meta:
        ordering = ["assignment_version", "order"]
        constraints = [
            models.UniqueConstraint(
                fields=["assignment_version", "key"], name="prompt_key_once_a_version"
            )
        ]

    def __str__(self) -> str:
        return self.title


class Extension(models.Model):
    """One student's own closing time; nobody else is told."""

    assignment = models.ForeignKey(Assignment, on_delete=models.CASCADE, related_name="extensions")
    student = models.ForeignKey(User, on_delete=models.CASCADE, related_name="extensions")
    closes_at = models.DateTimeField()
    reason = models.CharField(max_length=200, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["assignment", "student"], name="extension_once_a_student"
            )
        ]

    def __str__(self) -> str:
        return f"{self.student}: {self.assignment} until {self.closes_at}"
