"""Engraved pages and sound: made by the worker, kept by what they depend on."""

from __future__ import annotations

from django.db import models

from analysis.models.runs import CanonicalCopy, Run, random_key


class Engraving(models.Model):
    """One page of one view. `page` 0 is the book-keeping row: how many pages, engraver's cache."""

    copy = models.ForeignKey(CanonicalCopy, on_delete=models.CASCADE, related_name="engravings")
    view_key = models.CharField(max_length=64)  # hash of the view and parts revision
    view = models.JSONField()
    page = models.PositiveSmallIntegerField()
    pages = models.PositiveSmallIntegerField(default=0)
    file = models.FileField(upload_to=random_key, blank=True)  # SVG, or cache for page 0
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["copy", "view_key", "page"], name="engraved_once")
        ]

    def __str__(self) -> str:
        return f"page {self.page} of {self.copy}"

    def page_count_ready(self) -> int:
        """How many pages of this view are made."""
        return (
            Engraving.objects.filter(copy=self.copy_id, view_key=self.view_key)
            .exclude(page=0)
            .count()
        )


class Sound(models.Model):
    """MIDI and timeline made out of a run's table."""

    run = models.OneToOneField(Run, on_delete=models.CASCADE, related_name="sound")
    midi = models.FileField(upload_to=random_key)
    timeline = models.FileField(upload_to=random_key)
    version = models.PositiveSmallIntegerField(default=1)  # `SOUND_VERSION` it was made by

    def __str__(self) -> str:
        return f"sound of {self.run}"
