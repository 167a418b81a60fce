"""The facts behind claims of doubling: runs between two lines, with the tutor's word in them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from analysis.engine.analyses.doubling import run_bars
from analysis.engine.analyses.runs import Run, class_runs, pair_runs
from analysis.engine.claims import evidence as proof
from analysis.engine.claims.base import Bound, Scene
from analysis.engine.claims.facts import Fact, with_tutor
from analysis.engine.model import Evidence
from analysis.engine.names import Unit


def facts_between(
    scene: Scene, unit: Unit, others: Sequence[Unit], *, any_octave: bool = False
) -> list[Fact]:
    """Runs between the lines of a unit and those of the others, with the tutor's word.

    ``value["octaves"]`` counts the unit relative to the other line; ``value["plain"]``: the unit
    has the fewer notes of the two.
    """
    found: list[Fact] = []
    for line in unit.lines:
        for other in dict.fromkeys(i for u in others for i in u.lines):
            if other == line or other in unit.lines:
                continue
            found += _pair_facts(scene, line, other, any_octave)
    return found


def _pair_facts(scene: Scene, line: int, other: int, any_octave: bool) -> list[Fact]:
    table, settings = scene.table, scene.settings
    runs: list[tuple[Run, bool]] = [(r, False) for r in pair_runs(table, line, other, settings)]
    if any_octave:
        runs += [(r, True) for r in class_runs(table, line, other, settings)]
    facts = []
    for run, flips in runs:
        octaves = run.octaves if run.a == line else -run.octaves
        own, theirs = (run.of_a, run.of_b) if run.a == line else (run.of_b, run.of_a)
        value = {"octaves": octaves, "coverage": run.coverage, "flips": flips,
                 "plain": own < theirs}  # fmt: skip
        facts.append(Fact(frozenset(run_bars(table, run)), value, (line, other), detail=run))

    def of(value: Mapping[str, Any]) -> dict[str, Any]:
        return _tutors_value(scene, value, line)

    return with_tutor(facts, scene, "doubling", (line, other), of=of)


def _tutors_value(scene: Scene, value: Mapping[str, Any], line: int) -> dict[str, Any]:
    """The tutor's doubling as seen from `line`: turned round if it stands in `with`."""
    octaves = value.get("octaves")
    if octaves is not None:
        octaves = -octaves if _is_named(scene, value.get("with"), line) else octaves
    coverage = value.get("coverage") or "full"
    if octaves is None:
        return {"coverage": coverage, "flips": False}
    return {"octaves": octaves, "coverage": coverage, "flips": False}


def _is_named(scene: Scene, parts: Any, line: int) -> bool:
    """Whether a PART list of a stored value names the line by id (and player)."""
    own = scene.table.lines[line]
    id_ = scene.table.first_readings[own.part].id
    for part in parts or ():
        if isinstance(part, str) and part in (id_, own.name):
            return True
        if isinstance(part, Mapping) and part.get("part") == id_:
            player = part.get("player")
            if not isinstance(player, int) or own.players >> (player - 1) & 1:
                return True
    return False


def fact_notes(scene: Scene, bound: Bound, facts: Iterable[Fact]) -> tuple[Evidence, ...]:
    """The met notes of both lines within the claimed bars."""
    table, bars = scene.table, bound.bars
    found: list[Evidence] = []
    for fact in list(facts)[:4]:
        for line in fact.lines:
            rows = proof.attacked(table, [line], bars.start, bars.end)
            if fact.detail is not None:
                at = set(fact.detail.at.tolist())
                rows = rows[[int(t) in at for t in rows["onset"]]]
            found += proof.notes(table, rows)
    return tuple(dict.fromkeys(found))
