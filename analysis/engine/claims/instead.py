"""What two parts do where neither doubles the other: rest, move in parallel, meet, go apart."""

from __future__ import annotations

from analysis.engine.analyses.parallel import parallels
from analysis.engine.analyses.runs import meeting
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Scene
from analysis.engine.model import Sentence
from analysis.engine.names import Unit
from analysis.engine.sentences import register

register(
    {
        "claim.instead.rests": "{parts} rest in {bars}.",
        "claim.instead.rests.one": "{parts} rests in {bars}.",
        "claim.instead.parallel": "{part} and {other} move in {interval}s in {bars}.",
        "claim.instead.apart": (
            "{part} and {other} attack together {count} times, on different notes."
        ),
        "claim.instead.alternate": "{part} and {other} never attack together.",
    }
)


def instead(scene: Scene, bound: Bound) -> list[Sentence]:
    """One sentence for each pair of a part and a line of `with`, at most four."""
    says: list[Sentence] = []
    for unit in bound.units:
        for other in bound.named_units("with"):
            if set(unit.lines) & set(other.lines):
                continue
            says.append(_pair(scene, bound, unit, other))
    return says[:4]


def _pair(scene: Scene, bound: Bound, unit: Unit, other: Unit) -> Sentence:
    table, bars = scene.table, bound.bars
    inside = set(bars.indices)
    silent = [u for u in (unit, other) if not proof.bars_sounding(table, u.lines) & inside]
    if silent:
        where = speech.bars(table, bars.first, bars.last)
        return speech.say("claim.instead.rests", parts=[u.label for u in silent], bars=where)
    both = {"part": unit.label, "other": other.label}
    runs = [
        run
        for a in unit.lines
        for b in other.lines
        for run in parallels(table, a, b, scene.settings)
        if run.first <= bars.last and run.last >= bars.first
    ]
    if runs:
        longest = max(runs, key=lambda r: min(r.last, bars.last) - max(r.first, bars.first))
        first, last = max(longest.first, bars.first), min(longest.last, bars.last)
        where = speech.bars(table, first, last)
        return speech.say("claim.instead.parallel", interval=longest.interval, bars=where, **both)
    seen = [meeting(table, a, b, bars.start, bars.end) for a in unit.lines for b in other.lines]
    best = max(seen, key=lambda m: (m.any_octave, m.together))
    if best.any_octave:
        return speech.say(
            "claim.doubling.meets",
            part=unit.label,
            others=other.label,
            met=best.any_octave,
            of=max(best.of_a, best.of_b),
        )
    if not best.together:
        return speech.say("claim.instead.alternate", **both)
    return speech.say("claim.instead.apart", count=best.together, **both)
