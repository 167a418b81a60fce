"""Two things a route may rest on beside the settled regions: cadences, and what sounds nowhere.

Inside a region some bars may lead to a cadence in another key (`keys_regions`): too little for a
region of their own, but whoever hears that cadence names its key. So a route is also right by this
second hearing, as sure as such a cadence. And a key that is in no stretch of bars among the six
that fit best, as many as a key has near relations with itself, is not passed through; where that is
so of every claimed key, the route is denied.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from analysis.engine.analyses.key_route import Stretch, stretches_of_findings
from analysis.engine.claims.base import Bars
from analysis.engine.claims.key_alone import never_near
from analysis.engine.errors import EngineError
from analysis.engine.model import Finding, ScoreTable
from analysis.engine.pitch import Key, parse_key

#: bars before a cadence that belong to it, as in `analyses.keys_regions`
BEFORE = 3
#: a key and its five nearest relations (closely related keys, common practice)
NEAREST = 6
#: of 82 keys that S3 annotates for four bars and more, none was nowhere by this rule; one more
#: counted for and one against
NOWHERE = 83 / 84


def heard(found: Sequence[Finding]) -> tuple[Stretch, ...]:
    """Stretches of findings of kind "key", cadences in other keys taken as stretches of these."""
    arrivals = [(f, k) for f in found if f.value.get("how") == "arrives" and (k := _key(f))]
    pieces: list[Finding] = []
    for region in found:
        key = _key(region)
        if region.value.get("how") != "region" or key is None:
            pieces.append(region)
            continue
        inside = [(a, k) for a, k in arrivals if region.first <= a.first <= region.last]
        own = [a for a, k in inside if k.sound == key.sound]
        other = [a for a, k in inside if k.sound != key.sound]
        if region.sentence.template != "key.cadence":
            other = []
        pieces += _pieces(region, own, other)
    return stretches_of_findings(pieces)


def _pieces(region: Finding, own: Sequence[Finding], other: Sequence[Finding]) -> list[Finding]:
    """The region bar by bar: before a cadence its key counts, from the cadence before on.

    A cadence in the region's own key makes the bars before it at least as sure as itself.
    """
    by_bar = [region] * (region.last - region.first + 1)
    free = region.first
    for cadence in sorted([*own, *other], key=lambda a: a.first):
        for bar in range(max(free, cadence.first - BEFORE), cadence.first + 1):
            if cadence in other or cadence.confidence > region.confidence:
                by_bar[bar - region.first] = cadence
        free = cadence.first + 1
    out: list[Finding] = []
    for n, source in enumerate(by_bar):
        bar = region.first + n
        if n and by_bar[n - 1] is source:
            out[-1] = replace(out[-1], last=bar)
            continue
        value = {**source.value, "how": "region"}
        out.append(replace(source, first=bar, last=bar, value=value))
    return out


def nowhere(table: ScoreTable, bars: Bars, wanted: Sequence[Key]) -> list[int]:
    """Which of the claimed keys (by number) no stretch of the claimed bars speaks for."""
    return never_near(table, bars.first, bars.last, wanted, NEAREST)


def _key(found: Finding) -> Key | None:
    try:
        return parse_key(str(found.value.get("key")))
    except EngineError:
        return None
