"""What a part does in a step of its course instead of going with its company: thirds, a contact."""

from __future__ import annotations

from dataclasses import replace

from analysis.engine.claims.base import Bound, Judgement, Rule, Scene


def in_steps(rule: Rule) -> Rule:
    """A rule of two lines, asked of the steps that are not as claimed; all others must be."""

    def judge(scene: Scene, bound: Bound) -> Judgement:
        from analysis.engine.claims import course

        shown: list[Judgement] = []
        for step in bound["steps"]:
            alone = bound.with_fields(steps=(step,))
            if course.judge(replace(scene, trial=True), alone).all_right:
                continue
            if not step["with"]:
                return Judgement(relation="wrong")
            found = rule(scene, course.of_step(scene, bound, step))
            if not found.all_right:
                return found
            shown.append(found)
        if not shown:
            return Judgement(relation="wrong")
        notes = tuple(dict.fromkeys(e for one in shown for e in one.evidence))
        return Judgement(evidence=notes, contrary=notes)

    return judge
