"""Accounts, with or without e-mail; age bands, never birthdays; consents as rows."""

from __future__ import annotations

import uuid

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.utils.translation import gettext_lazy as _


class User(AbstractUser):
    """A person who signs in. `username` may be a name the tutor gave out."""

    class AgeBand(models.TextChoices):
        UNKNOWN = "unknown", _("not said")
        UNDER_13 = "under-13", _("under 13")
        FROM_13 = "13-15", _("13 to 15")
        FROM_16 = "16-17", _("16 or 17")
        ADULT = "adult", _("18 or older")

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    email = models.EmailField(_("e-mail"), blank=True)
    display_name = models.CharField(_("name shown in the course"), max_length=80)
    is_tutor = models.BooleanField(default=False)
    age_band = models.CharField(max_length=10, choices=AgeBand, default=AgeBand.UNKNOWN)
    reader = models.JSONField(default=dict, blank=True)  # how pages look: see courses.reader
    erased_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                "email", condition=~models.Q(email=""), name="user_email_unique_if_given"
            )
        ]

    def __str__(self) -> str:
        return self.display_name or self.username

    @property
    def is_minor(self) -> bool:
        return self.age_band in {
            self.AgeBand.UNDER_13,
            self.AgeBand.FROM_13,
            self.AgeBand.FROM_16,
        }


class Consent(models.Model):
    """Somebody agreed to something, in a stated wording, at a moment."""

    class Kind(models.TextChoices):
        JOINING = "joining", _("joining a course")
        SHOWING = "showing", _("own finds shown to the group")

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="consents")
    kind = models.CharField(max_length=20, choices=Kind)
    wording = models.CharField(max_length=40)  # version of the text agreed to
    given_by = models.CharField(max_length=80, blank=True)  # "self", or the guardian's name
    given_at = models.DateTimeField(auto_now_add=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.user}: {self.kind}"


class Guardianship(models.Model):
    """A guardian may see what is on the record about a minor. No pages yet."""

    guardian = models.ForeignKey(User, on_delete=models.CASCADE, related_name="wards")
    student = models.ForeignKey(User, on_delete=models.CASCADE, related_name="guardians")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["guardian", "student"], name="guardianship_once")
        ]

    def __str__(self) -> str:
        return f"{self.guardian} for {self.student}"
