"""Students x prompts in signs. A handful of queries, however many students."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from courses.models import Assignment, Enrolment, Step, User
from courses.stages import Kind
from submissions.models import Check, Flag, Observation, Paper, Ruling

ORDER = [Flag.CONFLICTS, Flag.EAR, Flag.PARTLY, Flag.AGREES]


def data(assignment: Assignment) -> dict[str, Any]:
    """Rows of {"student", "paper", "stage", "cells": [[{"flag", "ruled", "id"}]]}."""
    version = assignment.current
    prompts = list(version.prompts.all()) if version else []
    students = [
        e.user
        for e in Enrolment.objects.active()
        .students()
        .filter(course=assignment.course)
        .select_related("user")
        .order_by("user__display_name")
    ]
    papers = {p.student_id: p for p in Paper.objects.filter(assignment=assignment)}
    cells: dict[tuple[int, str], list[dict[str, Any]]] = defaultdict(list)
    for observation, flag, ruled in flags(assignment):
        cells[observation.student_id, str(observation.prompt_key)].append(
            {"flag": flag, "label": Flag(flag).label if flag else "", "ruled": ruled,
             "id": observation.public_id}
        )  # fmt: skip
    keys = [str(p.key) for p in prompts] + ["None"]
    stages = _stages(assignment, students)
    return {
        "prompts": prompts,
        "rows": [
            {
                "student": s,
                "paper": papers.get(s.pk),
                "stage": stages.get(s.pk, "") if s.pk in papers else "",
                "cells": [cells.get((s.pk, key), []) for key in keys],
            }
            for s in students
        ],
    }


def _stages(assignment: Assignment, students: list[User]) -> dict[int, str]:
    """The stage each student is at, by its word; "" where all are handed in."""
    kinds = [stage["kind"] for stage in assignment.current.stages] if assignment.current else []
    if not kinds:
        return {}
    done: dict[int, set[str]] = defaultdict(set)
    for student, stage in Step.objects.filter(assignment=assignment, prompt_key=None).values_list(
        "student", "stage"
    ):
        done[student].add(stage)
    return {
        s.pk: next((str(Kind(kind).label) for kind in kinds if kind not in done[s.pk]), "")
        for s in students
        if Step.EVERYTHING not in done[s.pk]
    }


def flags(assignment: Assignment) -> list[tuple[Observation, str, bool]]:
    """Every handed-in statement with the flag that counts: the ruling's, else the check's."""
    observations = list(
        Observation.objects.filter(
            paper__assignment=assignment, state=Observation.State.HANDED_IN
        ).order_by("pk")
    )
    latest = {(o.pk, o.number) for o in observations}
    ruled = {
        row[0]: row[2]
        for row in Ruling.objects.filter(
            current=True, observation_version__observation__in=observations
        ).values_list("observation_version__observation", "observation_version__number", "flag")
        if (row[0], row[1]) in latest
    }
    checked = {
        row[0]: row[2]
        for row in Check.objects.filter(
            current=True, observation_version__observation__in=observations
        ).values_list("observation_version__observation", "observation_version__number", "flag")
        if (row[0], row[1]) in latest
    }
    return [(o, ruled.get(o.pk) or checked.get(o.pk) or "", o.pk in ruled) for o in observations]
