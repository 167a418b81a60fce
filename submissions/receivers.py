"""What the reading tells us, turned into job rows in the same transaction."""

from __future__ import annotations

from typing import Any

from django.dispatch import receiver

from analysis.models import Overrule, Run
from analysis.selectors import current_run
from analysis.signals import overrule_changed, run_ready
from courses.models import AssignmentVersion, ScoreVersion
from courses.signals import assignment_published
from submissions.services.checks import ask_recheck


@receiver(run_ready)
def recheck_on_a_new_reading(sender: Any, run: Run, **kwargs: Any) -> None:
    ask_recheck(run.copy.version, run, "reading")


@receiver(overrule_changed)
def recheck_on_the_tutors_word(sender: Any, overrule: Overrule, **kwargs: Any) -> None:
    for version in ScoreVersion.objects.filter(score=overrule.version.score_id):
        if run := current_run(version):
            ask_recheck(version, run, "overrule")


@receiver(assignment_published)
def recheck_on_other_tolerances(
    sender: Any, assignment_version: AssignmentVersion, **kwargs: Any
) -> None:
    before = AssignmentVersion.objects.filter(
        assignment=assignment_version.assignment_id, number=assignment_version.number - 1
    ).first()
    if before and (
        before.settings != assignment_version.settings
        or before.kinds != assignment_version.kinds
        or _wishes(before) != _wishes(assignment_version)
    ):
        version = before.score_version
        ask_recheck(version, current_run(version), "tolerances", assignment_version)


def _wishes(version: AssignmentVersion) -> dict[Any, str]:
    """How far each prompt is compared."""
    return dict(version.prompts.values_list("key", "checked"))
