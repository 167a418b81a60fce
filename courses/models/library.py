"""The tutor's library: works, scores, the files behind them, rights, confirmed parts."""

from __future__ import annotations

import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from courses.models.kept import Kept
from courses.models.people import User
from courses.querysets import ScoreQuerySet


def random_key(instance: models.Model, filename: str) -> str:
    """A storage key that says nothing about the file."""
    return f"scores/{uuid.uuid4().hex}"


class Work(models.Model):
    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    tutor = models.ForeignKey(User, on_delete=models.PROTECT, related_name="works")
    title = models.CharField(max_length=150)
    composer = models.CharField(max_length=120, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["title"]

    def __str__(self) -> str:
        return self.title


class Score(models.Model):
    """One file's place in a work: usually a movement. Belongs to a tutor's library."""

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    work = models.ForeignKey(Work, on_delete=models.PROTECT, related_name="scores")
    tutor = models.ForeignKey(User, on_delete=models.PROTECT, related_name="scores")
    title = models.CharField(max_length=150)
    order = models.PositiveSmallIntegerField(default=1)
    created_at = models.DateTimeField(auto_now_add=True)
    taken_down_at = models.DateTimeField(null=True, blank=True)

    objects = ScoreQuerySet.as_manager()

    class Meta:
        ordering = ["work__title", "order", "title"]

    def __str__(self) -> str:
        return f"{self.work.title}: {self.title}"


class RightsStatement(models.Model):
    """What the tutor states of a file at upload. Not legal advice; local law decides."""

    class Basis(models.TextChoices):
        PUBLIC_DOMAIN = "public-domain", _("public domain here")
        LICENCE = "licence", _("licence")
        OWN = "own", _("own work")
        PERMISSION = "permission", _("permission")
        TEACHING = "teaching", _("teaching exception")

    source = models.CharField(max_length=300)
    licence = models.CharField(max_length=120, blank=True)
    basis = models.CharField(max_length=20, choices=Basis)
    country = models.CharField(max_length=80)
    assessed_by = models.CharField(max_length=120)
    assessed_on = models.DateField()
    entitled = models.BooleanField()  # "I am entitled ... and will remove it if not"
    ends_on = models.DateField(null=True, blank=True)  # in-copyright material

    class Meta:
        abstract = True


class Rights(RightsStatement):
    """The statement of a score: the newest one counts."""

    score = models.ForeignKey(Score, on_delete=models.CASCADE, related_name="rights")
    composer = models.CharField(max_length=120, blank=True)
    composer_dates = models.CharField(max_length=40, blank=True)
    editor = models.CharField(max_length=120, blank=True)
    editor_dates = models.CharField(max_length=40, blank=True)
    edition = models.CharField(max_length=200, blank=True)
    edition_year = models.CharField(max_length=20, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-created_at"]
        verbose_name_plural = "rights"

    def __str__(self) -> str:
        return f"{self.get_basis_display()} ({self.country})"


class ScoreVersion(models.Model):
    """One uploaded file. A corrected file is a new version with new note ids."""

    class State(models.TextChoices):
        UPLOADED = "uploaded", _("waiting to be read")
        REFUSED = "refused", _("not readable")
        PARTS = "parts", _("parts to confirm")
        READING = "reading", _("being read")
        READY = "ready", _("ready")
        FAILED = "failed", _("the reading failed")

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    score = models.ForeignKey(Score, on_delete=models.CASCADE, related_name="versions")
    number = models.PositiveSmallIntegerField(default=1)
    original = models.FileField(upload_to=random_key)
    filename = models.CharField(max_length=150)  # as uploaded, for display only
    size = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)
    state = models.CharField(max_length=10, choices=State, default=State.UPLOADED)
    problem = models.TextField(blank=True)  # a sentence for the tutor
    uploaded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    uploaded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["score", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["score", "number"], name="version_number_once"),
            models.UniqueConstraint(fields=["score", "sha256"], name="same_file_once_a_score"),
        ]

    def __str__(self) -> str:
        return f"{self.score} v{self.number}"


class PartsRevision(Kept):
    """What the parts are taken for: immutable; a change is a new revision.

    `parts` is the list of contracts "parts": id, index, label, instrument,
    family, transposition, crook, players, octave_switch, old_bass_clef,
    from_bar, doubt; and `confirmed`, set by an act of the tutor.
    """

    version = models.ForeignKey(
        ScoreVersion, on_delete=models.CASCADE, related_name="parts_revisions"
    )
    number = models.PositiveIntegerField()
    parts = models.JSONField()
    complete = models.BooleanField(default=False)  # every part confirmed
    by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["version", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["version", "number"], name="parts_revision_once")
        ]

    def __str__(self) -> str:
        return f"{self.version} parts {self.number}"
