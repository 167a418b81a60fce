"""What two parts do where no line passes from the one to the other: rest, go together, go on."""

from __future__ import annotations

from dataclasses import dataclass

from analysis.engine.analyses.phrases import phrases
from analysis.engine.analyses.runs import DOUBLED, pair_runs
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Scene
from analysis.engine.model import Evidence, Sentence
from analysis.engine.names import Unit
from analysis.engine.sentences import register

register(
    {
        "claim.handover.together": (
            "{part} and {other} have it together in {bars}: nothing is handed on."
        ),
        "claim.handover.goes-on": "{part} does not begin there: it is on its way already.",
        "claim.handover.none": "I find no line that passes from {part} to {other} there.",
    }
)

#: how sure: one of them rests, they go together; the taker does not begin; nothing is plain
PLAIN, NO_ENTRY, UNSURE = 0.97, 0.8, 0.6


@dataclass(frozen=True)
class Instead:
    confidence: float
    evidence: tuple[Evidence, ...]
    says: tuple[Sentence, ...]


def instead(scene: Scene, bound: Bound) -> Instead:
    """The plainest reason why nothing is handed on there."""
    table = scene.table
    givers, takers = bound.named_units("from"), bound.named_units("to")
    low, high = _around(bound)
    where = speech.bars(table, low, high)
    shown = _played(scene, (*givers, *takers), low, high)
    for units in (givers, takers):
        lines = [i for u in units for i in u.lines]
        if not proof.bars_sounding(table, lines) & set(range(low, high + 1)):
            rests = tuple(proof.rests(table, u.part, low, high) for u in units)
            says = tuple(speech.say("claim.rests", part=u.label, bars=where) for u in units[:3])
            return Instead(PLAIN, rests, says)
    labels = {"part": givers[0].label, "other": takers[0].label}
    if run := _together(scene, bound):
        said = speech.say("claim.handover.together", bars=speech.bars(table, *run), **labels)
        return Instead(PLAIN, shown, (said,))
    start, end = table.bars[low].start, table.bars[high].end
    begins = any(start <= p.start < end for u in takers for i in u.lines for p in phrases(table)[i])
    if not begins:
        said = speech.say("claim.handover.goes-on", part=labels["other"])
        return Instead(NO_ENTRY, shown, (said,))
    said = speech.say("claim.handover.none", **labels)
    return Instead(UNSURE, shown, (said,))


def _around(bound: Bound) -> tuple[int, int]:
    """The claimed bars and one more on either side: a handover may lie a bar off."""
    movement, bars = bound.movement, bound.bars
    return max(bars.first - 1, movement.first_bar), min(bars.last + 1, movement.last_bar)


def _together(scene: Scene, bound: Bound) -> tuple[int, int] | None:
    """Bars in which the one doubles the other, if these cover the claimed ones."""
    bars = bound.bars
    for a in (i for u in bound.named_units("from") for i in u.lines):
        for b in (i for u in bound.named_units("to") for i in u.lines):
            for run in pair_runs(scene.table, a, b, scene.settings):
                if run.coverage in DOUBLED and run.first <= bars.first and run.last >= bars.last:
                    return run.first, run.last
    return None


def _played(scene: Scene, units: tuple[Unit, ...], first: int, last: int) -> tuple[Evidence, ...]:
    return tuple(
        e for u in units for e in proof.playing_or_rests(scene.table, u.lines, first, last)
    )
