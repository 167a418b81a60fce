"""Rules that ask what two lines do instead of doubling: parallels, or a mere contact."""

from __future__ import annotations

from collections.abc import Sequence

from analysis.engine.analyses.parallel import LEAST_MOVES, Interval, Parallel, parallels
from analysis.engine.analyses.runs import meeting, pair_runs
from analysis.engine.claims import evidence as proof
from analysis.engine.claims.base import Bound, Judgement, Rule, Scene
from analysis.engine.model import Evidence
from analysis.engine.names import Unit


def parallel_rule(intervals: Sequence[Interval]) -> Rule:
    """A rule that is right where every part moves in these intervals with one of `with`."""

    def judge(scene: Scene, bound: Bound) -> Judgement:
        evidence: list[Evidence] = []
        for unit in bound.units:
            found = _parallels(scene, bound, unit, intervals)
            true = {bar for run in found for bar in range(run.first, run.last + 1)}
            if not set(bound.bars.indices) <= true:
                return Judgement(relation="wrong")
            for run in found:
                for line in (run.upper, run.lower):
                    rows = proof.attacked(scene.table, [line], bound.bars.start, bound.bars.end)
                    evidence += proof.notes(scene.table, rows)
        if not bound.units:
            return Judgement(relation="wrong")
        shown = tuple(dict.fromkeys(evidence))
        return Judgement(evidence=shown, contrary=shown)

    return judge


def _parallels(
    scene: Scene, bound: Bound, unit: Unit, intervals: Sequence[Interval]
) -> list[Parallel]:
    return [
        run
        for a in unit.lines
        for other in bound.named_units("with")
        for b in other.lines
        if a != b
        for run in parallels(scene.table, a, b, scene.settings, moves=LEAST_MOVES)
        if run.interval in intervals
        and run.first <= bound.bars.last
        and run.last >= bound.bars.first
    ]


def _joined(scene: Scene, bound: Bound, a: int, b: int) -> bool:
    """Whether a run, a reinforcement at least, covers claimed bars: then it is no mere contact."""
    return any(
        run.coverage != "contact" and run.first <= bound.bars.last and run.last >= bound.bars.first
        for run in pair_runs(scene.table, a, b, scene.settings)
    )


def contact_rule(scene: Scene, bound: Bound) -> Judgement:
    """Right where every part meets one of `with` at least once, and too seldom to double it."""
    settings = scene.settings
    evidence: list[Evidence] = []
    for unit in bound.units:
        met = 0
        for a in unit.lines:
            for other in bound.named_units("with"):
                for b in other.lines:
                    if a == b:
                        continue
                    seen = meeting(scene.table, a, b, bound.bars.start, bound.bars.end)
                    if _joined(scene, bound, a, b):
                        return Judgement(relation="wrong")
                    most = max(seen.of_a, seen.of_b)
                    few = seen.any_octave < max(
                        settings.doubling_min_met, settings.doubling_contact * most
                    )
                    met = max(met, seen.any_octave if few else -1)
                    if not few:
                        return Judgement(relation="wrong")
                    if seen.any_octave:
                        rows = proof.attacked(scene.table, [a], bound.bars.start, bound.bars.end)
                        evidence += proof.notes(scene.table, rows)
        if not met:
            return Judgement(relation="wrong")
    return Judgement(evidence=tuple(evidence), contrary=tuple(evidence))
