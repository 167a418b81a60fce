"""The only such place: nowhere else in the movement is the same true."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Scene
from analysis.engine.claims.facts import stretches
from analysis.engine.model import ScoreTable


def unique(scene: Scene, bound: Bound, judgement: Judgement, true: Iterable[int]) -> Judgement:
    """`unique`: no other stretch of the movement where the same is true."""
    if not bound["unique"] or judgement.any_wrong:
        return judgement
    bars = bound.bars
    others = [s for s in stretches(true) if s[1] < bars.first or s[0] > bars.last]
    return not_alone(scene.table, bound, judgement, others)


def not_alone(
    table: ScoreTable, bound: Bound, judgement: Judgement, others: Sequence[tuple[int, int]]
) -> Judgement:
    if not others:
        return judgement
    said = speech.say("claim.playing.again", bars=[speech.bars(table, *s) for s in others[:3]])
    return judgement.but(
        degree="near",
        says=(*judgement.says, said),
        truth=({**bound.claim.as_json(), "unique": False}, *judgement.truth),
    )
