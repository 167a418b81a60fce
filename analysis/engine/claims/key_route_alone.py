"""Before a route is denied: what the claimed bars say by themselves.

A sure region speaks of its bars in their surroundings. A route is denied only where the bars taken
alone bear that out: a claimed key that was not found is in no short stretch of them the best or
second best, or a sure key is left out in whose own bars none of the claimed keys is.
"""

from __future__ import annotations

from collections.abc import Sequence

from analysis.engine.claims.base import Bound, Scene
from analysis.engine.claims.key_alone import never_near
from analysis.engine.claims.key_route_laid import EDGE, Laid, unpaired
from analysis.engine.pitch import Key


def lost(wanted: Sequence[Key], laid: Laid) -> list[Key]:
    """Claimed keys that are no step of the route that was found."""
    paired = {step for step, _, worth in laid.pairs if worth == 1.0}
    return [key for n, key in enumerate(wanted) if n not in paired]


def borne_out(scene: Scene, bound: Bound, wanted: Sequence[Key], laid: Laid) -> bool:
    """Whether the claimed bars by themselves speak against the claimed route.

    A key that the tutor reads there needs no such support: it has the confidence 1.
    """
    table, bars = scene.table, bound.bars
    if any(s.confidence >= 1.0 for s in unpaired(laid)):
        return True
    if never_near(table, bars.first, bars.last, lost(wanted, laid)):
        return True
    sounds = {key.sound for key in wanted}
    for left in unpaired(laid):
        first, last = max(left.first, bars.first), min(left.last, bars.last)
        sure = left.confidence >= scene.settings.conflict_confidence
        asked = sure and left.key.sound not in sounds and last - first + 1 >= EDGE
        if asked and len(never_near(table, first, last, wanted)) == len(wanted):
            return True
    return False
