"""The tutor's own fact, where a kind does not go bar by bar: it stands as it is said."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from analysis.engine.claims import evidence as proof
from analysis.engine.claims.base import Bound, Judgement, Scene

#: whether a stored value says what the claim says; None: it speaks of something else
Same = Callable[[Mapping[str, Any]], bool | None]


def as_told(scene: Scene, bound: Bound, same: Same) -> Judgement | None:
    """What follows from a word of the tutor that covers all claimed bars; None without one.

    The tutor's fact decides (confidence 1). A fact the tutor calls absent is not so.
    """
    bars = bound.bars
    for word in scene.tutor_on(bound.claim.kind):
        if word.first > bars.first or word.last < bars.last:
            continue
        value = word.overruled if word.says == "absent" else word.value
        alike = same(value) if value is not None else None
        if alike is None or (word.says == "absent" and not alike):
            continue
        so = alike and word.says != "absent"
        lines = word.lines or range(len(scene.table.lines))
        notes = proof.notes_or_rests(scene.table, lines, bars)
        right = so is not bound.claim.negated
        base = bound.claim.as_json()
        truth = base if right else {**base, "negated": not bound.claim.negated}
        return Judgement(
            relation="right" if right else "wrong",
            evidence=notes,
            contrary=notes,
            says=(word.sentence,),
            truth=(truth,),
        )
    return None
