"""The panels of an assignment's board, in order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from courses.models import Assignment
from submissions.panels import changed, prompts, statements, surveys, unmentioned


@dataclass(frozen=True)
class Panel:
    name: str
    title: str | Promise
    data: Callable[[Assignment], dict[str, Any]]

    @property
    def template(self) -> str:
        return f"submissions/panels/_{self.name}.html"


PANELS = (
    Panel("prompts", _("Students and prompts"), prompts.data),
    Panel("changed", _("Flags that are another one now"), changed.data),
    Panel("surveys", _("The page before any note"), surveys.data),
    Panel("statements", _("Where the class looks"), statements.data),
    Panel("unmentioned", _("What nobody has mentioned yet"), unmentioned.data),
)
