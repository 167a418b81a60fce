"""What parts do that do not imitate each other where it was said: rest, go together, answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from analysis.engine.analyses.handover_facts import handovers
from analysis.engine.analyses.melodic import NO_MOVE, stream
from analysis.engine.analyses.parallel import parallels
from analysis.engine.analyses.runs import DOUBLED, pair_runs
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import moments, speech
from analysis.engine.claims.base import Bound, Scene, Verdict
from analysis.engine.claims.moments import Moment
from analysis.engine.model import Evidence, Sentence
from analysis.engine.names import Unit
from analysis.engine.sentences import register

register(
    {
        "claim.imitation.together": (
            "{part} and {other} have it together in {bars}: that is a doubling, nobody follows."
        ),
        "claim.imitation.parallel": (
            "{part} and {other} have it together, in {interval}s, in {bars}: nobody follows."
        ),
        "claim.imitation.answer": (
            "{part} has ended when {other} answers at {where}: an answer, not an imitation."
        ),
        "claim.imitation.unlike": "What {part} and {other} begin with there is not alike.",
        "claim.imitation.unclear": (
            "What {part} and {other} begin with is alike in part only; I find no imitation."
        ),
    }
)

#: how sure: they rest or go together; what they begin with is unlike, or alike in part
PLAIN, UNLIKE, UNSURE = 0.97, 0.92, 0.6
#: attacks by which two beginnings are compared, and the share that makes them alike in part
KNOWN, ALIKE = 5, 0.5

Entering = tuple[tuple[Unit, ...], Moment]


@dataclass(frozen=True)
class Instead:
    relation: Verdict
    confidence: float
    evidence: tuple[Evidence, ...]
    says: tuple[Sentence, ...]


def instead(scene: Scene, wanted: Sequence[Entering], bound: Bound) -> Instead:
    """What is there instead of entries that follow each other; the plainest reason first."""
    table = scene.table
    for units, at in wanted:
        sounding = proof.bars_sounding(table, [k for u in units for k in u.lines])
        if not sounding & set(range(at.bar, min(at.bar + 2, bound.movement.last_bar + 1))):
            shown = tuple(proof.rests(table, u.part, at.bar, at.bar) for u in units)
            bars = speech.bars(table, at.bar, at.bar)
            says = [speech.say("claim.rests", part=u.label, bars=bars) for u in units]
            return Instead("wrong", PLAIN, shown, tuple(says[:3]))
    shown = _heads(scene, wanted)
    for one, other in pairwise(wanted):
        if said := _together(scene, bound, one, other):
            return Instead("wrong", PLAIN, shown, (said,))
    for one, other in pairwise(wanted):
        if said := _answer(scene, bound, one, other):
            return Instead("near", PLAIN, shown, (said,))
    alike = [_likeness(scene, one, other) for one, other in pairwise(wanted)]
    least = min(range(len(alike)), key=lambda k: alike[k])
    unlike = alike[least] < ALIKE
    said = speech.say(
        "claim.imitation.unlike" if unlike else "claim.imitation.unclear",
        part=wanted[least][0][0].label,
        other=wanted[least + 1][0][0].label,
    )
    return Instead("wrong", UNLIKE if unlike else UNSURE, shown, (said,))


def _heads(scene: Scene, wanted: Sequence[Entering]) -> tuple[Evidence, ...]:
    found: list[Evidence] = []
    for units, at in wanted:
        for unit in units:
            found += proof.playing_or_rests(scene.table, unit.lines, at.bar, at.bar)
    return tuple(found)


def _together(scene: Scene, bound: Bound, one: Entering, other: Entering) -> Sentence | None:
    """They double each other, or go in thirds, where both are said to enter."""
    table = scene.table
    first, last = sorted((one[1].bar, other[1].bar))
    labels = {"part": one[0][0].label, "other": other[0][0].label}
    for a in (k for u in one[0] for k in u.lines):
        for b in (k for u in other[0] for k in u.lines):
            if a == b:
                continue
            for run in pair_runs(table, a, b, scene.settings):
                if run.coverage in DOUBLED and run.first <= first and run.last >= last:
                    bars = speech.bars(table, run.first, run.last)
                    return speech.say("claim.imitation.together", bars=bars, **labels)
            for thirds in parallels(table, a, b, scene.settings):
                if thirds.first <= first and thirds.last >= last:
                    bars = speech.bars(table, thirds.first, thirds.last)
                    return speech.say(
                        "claim.imitation.parallel", bars=bars, interval=thirds.interval, **labels
                    )
    return None


def _answer(scene: Scene, bound: Bound, one: Entering, other: Entering) -> Sentence | None:
    """The second part answers with the same figure after the first has ended."""
    table = scene.table
    giving = {k for u in one[0] for k in u.lines}
    taking = {k for u in other[0] for k in u.lines}
    for found in handovers(table, scene.settings):
        if not found.alike or found.beneath:
            continue
        if giving & set(found.giving) and taking & set(found.taking):
            if moments.verdict(table, other[1], found.at) == "wrong":
                continue
            return speech.say(
                "claim.imitation.answer",
                part=one[0][0].label,
                other=other[0][0].label,
                where=moments.words(table, found.at),
            )
    return None


def _likeness(scene: Scene, one: Entering, other: Entering) -> float:
    """Share of the first moves that are alike in rhythm and direction, of the best two lines."""
    s = stream(scene.table)
    best = 0.0
    for a in _starts(scene, one):
        for b in _starts(scene, other):
            reach = min(KNOWN - 1, len(s) - max(a, b) - 1)
            if reach < 1:
                continue
            same = s.gap[a : a + reach] == s.gap[b : b + reach]
            left, right = s.move[a : a + reach], s.move[b : b + reach]
            same &= (np.sign(left) == np.sign(right)) & (left != NO_MOVE) & (right != NO_MOVE)
            best = max(best, float(same.mean()))
    return best


def _starts(scene: Scene, entering: Entering) -> list[int]:
    """Attacks at which the part could enter: about the beat named, or in and before the bar."""
    s, table = stream(scene.table), scene.table
    bar = table.bars[entering[1].bar]
    tick = entering[1].tick
    low = (bar.start if tick is None else tick) - bar.beat_ticks
    high = bar.end if tick is None else tick + bar.beat_ticks + 1
    found: list[int] = []
    for unit in entering[0]:
        for line in unit.lines:
            here = s.of(line, low, high)
            found += range(here.start, here.stop)
    return found[:16]
