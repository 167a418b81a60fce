"""What the apps below tell us, turned into job rows in the same transaction."""

from __future__ import annotations

from typing import Any

from django.dispatch import receiver

from analysis.models import CanonicalCopy
from analysis.services.runs import ask_gate, ask_run
from courses.models import PartsRevision, ScoreVersion
from courses.signals import parts_changed, score_uploaded


@receiver(score_uploaded)
def gate_what_was_uploaded(sender: Any, version: ScoreVersion, **kwargs: Any) -> None:
    ask_gate(version)


@receiver(parts_changed)
def read_what_was_confirmed(sender: Any, revision: PartsRevision, **kwargs: Any) -> None:
    copy = CanonicalCopy.objects.filter(version=revision.version).first()
    if copy:
        ask_run(copy, revision)
