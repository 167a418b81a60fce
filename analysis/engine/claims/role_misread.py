"""Why a role is another: the tune looked for in the top staff, a filling taken for a second tune.

Both are only named; neither makes a flag another one (contract 3: "top-staff" conflicts where the
roles are clear, "filler" is for the ear).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Scene
from analysis.engine.claims.facts import Fact, stretches
from analysis.engine.claims.fields import JSON
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.model import Sentence
from analysis.engine.names import Unit
from analysis.engine.sentences import register

register(
    {
        "claim.role.top-staff": (
            "The tune is lower on the page, in {part}: it need not be in the top staff."
        ),
        "claim.role.filler": (
            "It reads as filling between the tune and the bass. Can you sing it as a tune of its "
            "own? Then tell your tutor how it goes."
        ),
        "claim.role.filler.unsure": (
            "It may be filling between the tune and the bass. Can you sing it as a tune of its "
            "own? Then tell your tutor how it goes."
        ),
    }
)

#: What fills between tune and bass.
FILLING = frozenset({"held harmony", "moving harmony", "pulse", "figuration", "pedal"})


def misread(
    scene: Scene, bound: Bound, facts: Sequence[Fact], sure: float
) -> tuple[str | None, list[Sentence], list[JSON]]:
    """Cause, words and further truths of a role that one part does not have.

    Parameters
    ----------
    facts : sequence of Fact
        Roles of the part.
    sure : float
        How sure it is that it has not the claimed one.
    """
    clear = sure >= scene.settings.conflict_confidence
    inside = set(bound.bars.indices)
    here = [f for f in facts if f.bars & inside]
    if bound["role"] == "melody" and clear:
        carrier = _below(scene, bound)
        if carrier is not None:
            said = speech.say("claim.role.top-staff", part=carrier.label)
            return "top-staff", [said], [_truth(scene, bound, carrier)]
    fills = [f for f in here if f.value["role"] in FILLING]
    covered = {b for f in fills for b in f.bars} & inside
    if bound["role"] == "countermelody" and not clear and covered == inside and fills == here:
        return "filler", [speech.say("claim.role.filler")], []
    return None, [], []


def _below(scene: Scene, bound: Bound) -> Unit | None:
    """The part lower on the page that has the tune in all claimed bars, under a top staff.

    A top staff is the first of the page, or of its family, that sounds in these bars.
    """
    table, inside = scene.table, set(bound.bars.indices)
    unit = bound.units[0]
    own = table.reading_at(unit.part, bound.bars.first).family
    above = [
        line for line in table.lines
        if line.part < unit.part and proof.bars_sounding(table, [line.index]) & inside
    ]  # fmt: skip
    if any(line.family == own for line in above):
        return None
    tunes: dict[int, tuple[set[int], list[float]]] = {}
    for found in scene.of_kind("role", bound.movement.index):
        if found.value.get("role") != "melody":
            continue
        bars = set(range(found.first, found.last + 1)) & inside
        for index in found.lines if bars else ():
            seen, sures = tunes.setdefault(index, (set(), []))
            seen |= bars
            sures += [found.confidence] * len(bars)
    least = scene.settings.min_confidence
    for index, (seen, sures) in sorted(tunes.items()):
        line = table.lines[index]
        sure = sum(sures) / len(sures) >= least
        if line.part > unit.part and seen == inside and sure:
            return Unit(line.part, (index,), line.name)
    return None


def _truth(scene: Scene, bound: Bound, carrier: Unit) -> dict[str, Any]:
    first, last = stretches(bound.bars.indices)[0]
    value = {"parts": [part_json(scene.table, carrier)]}
    return {**bound.claim.as_json(), **value, "bars": place_json(scene.table, first, last)}
