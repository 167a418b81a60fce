"""The class's statements as rows of bar marks beneath the bars asked about."""

from __future__ import annotations

from typing import Any

from analysis.effective import effective_findings
from analysis.selectors import current_run
from courses.models import Assignment, AssignmentVersion
from submissions.kinds import KINDS
from submissions.models import Observation, ObservationVersion
from submissions.panels.prompts import flags
from submissions.places import bar_label


def data(assignment: Assignment) -> dict[str, Any]:
    """{"ticks", "computed", "rows"}: rows of {"kind", "marks"}, in thousandths of the span."""
    version = assignment.current
    if version is None:
        return {"rows": []}
    outline = version.score_version.canonical.outline
    spans = [(p.first_bar, p.last_bar) for p in version.prompts.all()]
    if not spans:
        return {"rows": []}
    first, last = min(a for a, _b in spans), max(b for _a, b in spans)
    flag_of = {o.pk: flag for o, flag, _ruled in flags(assignment)}
    rows: dict[str, list[dict[str, Any]]] = {}
    statements = ObservationVersion.objects.filter(
        observation__paper__assignment=assignment,
        observation__state=Observation.State.HANDED_IN,
        first_bar__isnull=False,
    ).select_related("observation__student")
    width = max(1, last - first + 1)
    for s in statements:
        if s.number != s.observation.number or s.first_bar is None or s.last_bar is None:
            continue
        a, b = max(first, s.first_bar), min(last, s.last_bar)
        if b < a:
            continue
        rows.setdefault(s.kind, []).append(
            {
                "x": round(1000 * (a - first) / width, 1),
                "w": round(1000 * (b - a + 1) / width, 1),
                "flag": flag_of.get(s.observation_id, ""),
                "who": s.observation.student,
                "bars": f"{bar_label(outline, s.first_bar)}–{bar_label(outline, s.last_bar)}",
                "id": s.observation.public_id,
            }
        )
    step = max(1, width // 12)
    return {
        "ticks": [
            {"percent": round(100 * n / width, 2), "label": bar_label(outline, first + n)}
            for n in range(0, width, step)
        ],
        "computed": _computed(version, first, last, set(rows)),
        "rows": [
            {"kind": kind.label, "marks": _stack(rows[kind.name])}
            for kind in KINDS.values()
            if kind.name in rows
        ],
    }


def _computed(
    version: AssignmentVersion, first: int, last: int, kinds: set[str]
) -> list[dict[str, Any]]:
    """The computed reading of the kinds the class speaks of, one lane each: bars with a finding."""
    run = current_run(version.score_version)
    if run is None:
        return []
    width = last - first + 1
    bars: dict[str, set[int]] = {}
    for finding in effective_findings(run):
        if finding.kind in kinds and finding.first <= last and finding.last >= first:
            reach = range(max(first, finding.first), min(last, finding.last) + 1)
            bars.setdefault(finding.kind, set()).update(reach)
    return [
        {
            "kind": kind.label,
            "marks": [
                {"x": round(1000 * (b - first) / width, 1), "w": round(1000 / width, 1)}
                for b in sorted(bars[kind.name])
            ],
        }
        for kind in KINDS.values()
        if bars.get(kind.name)
    ]


def _stack(marks: list[dict[str, Any]]) -> dict[str, Any]:
    """Lay overlapping marks under one another."""
    ends: list[float] = []
    for mark in sorted(marks, key=lambda m: (m["x"], -m["w"])):
        lane = next((i for i, end in enumerate(ends) if end <= mark["x"]), len(ends))
        if lane == len(ends):
            ends.append(0)
        ends[lane] = mark["x"] + mark["w"]
        mark["y"] = lane * 14
    return {"height": max(14, 14 * len(ends)), "items": marks}
