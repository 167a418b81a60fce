"""Findings with the tutor's word applied. `effective_findings` is the only door."""

from __future__ import annotations

from analysis import storage
from analysis.engine.claims.overrules import Overruling, effective
from analysis.engine.model import Finding, ScoreTable
from analysis.models import Overrule, Run
from analysis.selectors import overrules_in_force


def as_overruling(overrule: Overrule, table: ScoreTable) -> Overruling:
    """The row as the engine knows it."""
    wanted = {(p["part"], p.get("player")) for p in overrule.parts}
    lines = tuple(
        line.index
        for line in table.lines
        for part, player in wanted
        if table.first_readings[line.part].id == part
        and (player is None or not line.players or line.players >> (player - 1) & 1)
    )
    return Overruling(
        kind=overrule.kind,
        first=overrule.first_bar,
        last=overrule.last_bar,
        lines=lines,
        says=overrule.says,
        value=overrule.value,
        overruled=overrule.overruled,
        reason=overrule.reason,
    )


def overrulings(run: Run, table: ScoreTable | None = None) -> tuple[Overruling, ...]:
    """The tutor's words on the score of `run`, for the engine."""
    table = table or storage.table_of(run)
    return tuple(as_overruling(o, table) for o in overrules_in_force(run.copy.version))


def computed_for(run: Run) -> tuple[Finding, ...]:
    """Computed findings for the checker, which applies the tutor's word itself."""
    return storage.computed_findings(run)


def effective_findings(run: Run) -> list[Finding]:
    """Computed findings with the tutor's word applied: for pages, checks, API, drills."""
    table = storage.table_of(run)
    return effective(storage.computed_findings(run), overrulings(run, table), table)
