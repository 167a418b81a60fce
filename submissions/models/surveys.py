"""The page as a student surveyed it, before any note."""

from __future__ import annotations

from django.db import models

from analysis.models import Run
from submissions.models.papers import Paper


class Survey(models.Model):
    """The table of one paper. Cells are typed one by one until their stage is handed in.

    `cells`: name of a cell (`analysis.engine.survey`) -> as typed. Once compared they stay:
    `seen` has a mark for each cell filled in, `page` what the page says there.
    """

    paper = models.OneToOneField(Paper, on_delete=models.CASCADE, related_name="survey")
    cells = models.JSONField(default=dict)
    seen = models.JSONField(default=dict)
    page = models.JSONField(default=dict)
    run = models.ForeignKey(Run, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    changed_at = models.DateTimeField(auto_now=True)
    compared_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.paper}: survey"
