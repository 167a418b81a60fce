"""Courses, who belongs to them, and the invitation word that lets one ask in."""

from __future__ import annotations

import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from courses.models.people import User
from courses.querysets import CourseQuerySet, EnrolmentQuerySet


class Course(models.Model):
    """A term course (dated) or an open, self-paced one (no dates)."""

    class Form(models.TextChoices):
        DATED = "dated", _("term course with dates")
        OPEN = "open", _("open, self-paced")

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    tutor = models.ForeignKey(User, on_delete=models.PROTECT, related_name="courses_taught")
    title = models.CharField(max_length=150)
    about = models.TextField(blank=True)
    form = models.CharField(max_length=10, choices=Form, default=Form.DATED)
    starts_on = models.DateField(null=True, blank=True)
    ends_on = models.DateField(null=True, blank=True)
    zone = models.CharField(max_length=60, default="UTC")
    scores = models.ManyToManyField("courses.Score", related_name="courses", blank=True)
    created_at = models.DateTimeField(auto_now_add=True)
    archived_at = models.DateTimeField(null=True, blank=True)

    objects = CourseQuerySet.as_manager()

    class Meta:
        ordering = ["-created_at"]

    def __str__(self) -> str:
        return self.title


class Group(models.Model):
    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="groups")
    name = models.CharField(max_length=80)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["course", "name"], name="group_name_once_a_course")
        ]

    def __str__(self) -> str:
        return self.name


class Enrolment(models.Model):
    """A person's place in a course. Students ask; the tutor says yes."""

    class Role(models.TextChoices):
        STUDENT = "student", _("student")
        ASSISTANT = "assistant", _("assistant")
        GUARDIAN = "guardian", _("guardian")

    class State(models.TextChoices):
        ASKED = "asked", _("waiting for the tutor's yes")
        ACTIVE = "active", _("in the course")
        REFUSED = "refused", _("not taken")
        LEFT = "left", _("has left")

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="enrolments")
    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="enrolments")
    role = models.CharField(max_length=10, choices=Role, default=Role.STUDENT)
    state = models.CharField(max_length=10, choices=State, default=State.ASKED)
    group = models.ForeignKey(Group, null=True, blank=True, on_delete=models.SET_NULL)
    bar_offset = models.SmallIntegerField(default=0)  # the student's declared edition
    asked_at = models.DateTimeField(auto_now_add=True)
    decided_at = models.DateTimeField(null=True, blank=True)

    objects = EnrolmentQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["course", "user"], name="enrolled_once_a_course")
        ]

    def __str__(self) -> str:
        return f"{self.user} in {self.course} ({self.role}, {self.state})"


class Invitation(models.Model):
    """A word (students, until it expires) or a single-use link (assistants, guardians)."""

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="invitations")
    role = models.CharField(max_length=10, choices=Enrolment.Role, default=Enrolment.Role.STUDENT)
    word_hash = models.CharField(max_length=64, unique=True)  # SHA-256 of the folded word
    hint = models.CharField(max_length=60)  # the word itself for the tutor, "" for links
    expires_at = models.DateTimeField()
    uses_left = models.PositiveIntegerField(default=60)
    revoked_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return f"{self.role} invitation to {self.course}"
