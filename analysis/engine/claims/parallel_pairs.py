"""Two pairs that each go in thirds: "oboes and clarinets in thirds", one pair under the other."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from analysis.engine.analyses.attacks import attacks
from analysis.engine.analyses.parallel import Parallel, parallels
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Scene
from analysis.engine.claims.facts import place_verdict, stretch
from analysis.engine.claims.naming import place_json
from analysis.engine.names import Unit
from analysis.engine.sentences import register

register(
    {
        "claim.parallel.each": (
            "{parts} go in {interval}s among themselves in {bars}, and so do {others}."
        )
    }
)


def among_themselves(scene: Scene, bound: Bound) -> Judgement | None:
    """The claim taken so: each side goes in the interval by itself; None where it does not."""
    sides = (bound.units, bound.named_units("with"))
    trues = [_side(scene, bound, units) for units in sides]
    true = trues[0] & trues[1]
    place = place_verdict(true, bound.bars, scene.settings)
    run = stretch(true & set(bound.bars.indices), bound.bars)
    if place == "wrong" or run is None:
        return None
    table, bars = scene.table, bound.bars
    lines = sorted({i for units in sides for u in units for i in u.lines})
    notes = proof.notes_or_rests(table, lines, bars)
    says = speech.say(
        "claim.parallel.each",
        parts=speech.people(table, sides[0]),
        others=speech.people(table, sides[1]),
        interval=bound["interval"],
        bars=speech.bars(table, *run),
    )
    truth = {**bound.claim.as_json(), "bars": place_json(table, *run)}
    return Judgement(place=place, evidence=notes, contrary=notes, says=(says,), truth=(truth,))


def _side(scene: Scene, bound: Bound, units: Sequence[Unit]) -> frozenset[int]:
    """Bars in which every line of a side goes in the interval with another of its side."""
    lines = list(dict.fromkeys(i for u in units for i in u.lines))
    if len(lines) < 2:
        return frozenset()
    found = []
    for line in lines:
        bars: set[int] = set()
        for mate in lines:
            for run in parallels(scene.table, line, mate, scene.settings) if mate != line else ():
                if run.interval == bound["interval"]:
                    bars |= covered(scene, run, frozenset(range(run.first, run.last + 1)))
        found.append(frozenset(bars))
    return frozenset.intersection(*found)


def covered(scene: Scene, run: Parallel, bars: frozenset[int]) -> frozenset[int]:
    """Bars of a run that it covers, or of which it has the first or the last attack."""
    grid = attacks(scene.table)
    either = grid.attacked[run.upper] | grid.attacked[run.lower]
    true = set(bars)
    for bar in (run.first, run.last):
        i, j = np.searchsorted(grid.bar, (bar, bar + 1))
        at = grid.onset[i:j][either[i:j]]
        if len(at) and not any(run.start <= t < run.end for t in (at[0], at[-1])):
            true.discard(bar)
    return frozenset(true)
