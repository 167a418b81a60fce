"""Nobody doubles a line: completeness counts, every other part is asked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from analysis.engine.analyses.doubling import run_bars
from analysis.engine.analyses.runs import DOUBLED, pair_runs
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Scene, Verdict
from analysis.engine.claims.doubling_facts import fact_notes, facts_between
from analysis.engine.claims.facts import (
    Fact,
    Try,
    best_try,
    combine_units,
    place_verdict,
    stretch,
    stretches,
)
from analysis.engine.claims.naming import place_json
from analysis.engine.claims.negation import deny
from analysis.engine.model import Sentence
from analysis.engine.names import Unit


def judge_alone(scene: Scene, bound: Bound) -> Judgement:
    """Nobody (or none of `with`) doubles the parts. A 2 is no doubling by another part."""
    table, bars = scene.table, bound.bars
    doubled: dict[Unit, dict[int, list[Fact]]] = {
        unit: _doublers(scene, bound, unit) for unit in bound.units
    }
    plays = {u: proof.bars_sounding(table, u.lines) for u in doubled}
    alone = {u: plays[u] - frozenset(_bars_of(own, DOUBLED)) for u, own in doubled.items()}
    strictly = {
        u: plays[u] - frozenset(_bars_of(own, DOUBLED | {"partial"})) for u, own in doubled.items()
    }
    own_notes = proof.notes_or_rests(table, [i for u in bound.units for i in u.lines], bars)
    shown = [
        f
        for own in doubled.values()
        for fs in own.values()
        for f in fs
        if f.bars & set(bars.indices)
    ]
    against = fact_notes(scene, bound, shown)
    if bound.claim.negated:
        true = frozenset.intersection(*(alone[u] for u in doubled))
        return deny(scene, bound, true, own_notes, evidence=against or own_notes)
    verdicts: list[tuple[Verdict, Verdict, Verdict]] = []
    for unit in bound.units:
        if place_verdict(plays[unit], bars, scene.settings) == "wrong":
            verdicts.append(("right", "open", "right"))  # a part at rest is not "undoubled"
            continue
        # A bar in which it rests speaks neither for nor against.
        resting = frozenset(bars.indices) - plays[unit]
        attempt = best_try(
            [Try(strictly[unit] | resting), Try(alone[unit] | resting, relation="near")],
            bars,
            scene.settings,
        )
        if not (attempt.true - resting) & set(bars.indices):
            verdicts.append(("right", "wrong", "right"))
        else:
            place = attempt.place(bars, scene.settings)
            verdicts.append((place, attempt.relation, "right"))
    place, parts, relation, degree = combine_units(verdicts)
    says = [
        speech.say(
            "claim.doubling.somebody",
            part=unit.label,
            others=speech.line_names(table, [line]),
            bars=[speech.bars(table, *s) for s in stretches(b for f in fs for b in f.bars)
                  if s[0] <= bars.last and s[1] >= bars.first],
        )
        for unit, own in doubled.items()
        for line, fs in own.items()
        if any(f.bars & set(bars.indices) for f in fs)
    ]  # fmt: skip
    if place == parts == relation == "right":
        says = [
            speech.say(
                "claim.doubling.nobody",
                parts=speech.people(table, bound.units),
                bars=speech.bars(table, bars.first, bars.last),
            )
        ]
    silent = [u for u in bound.units if not plays[u] & set(bars.indices)]
    says += [speech.say("claim.doubling.rests", part=u.label) for u in silent]
    notes = [
        speech.say(
            "claim.rests",
            part=unit.label,
            bars=[speech.bars(table, *s) for s in stretches(set(bars.indices) - plays[unit])],
        )
        for unit in bound.units
        if unit not in silent and not set(bars.indices) <= plays[unit]
    ]
    base = bound.claim.as_json()
    common = frozenset.intersection(*(strictly[u] for u in doubled))
    truths = []
    if run := stretch(common & set(bars.indices), bars):
        truths.append({**base, "bars": place_json(table, *run)})
    truths.append({**base, "negated": True})
    return Judgement(
        place=place,
        parts=parts,
        relation=relation,
        degree=degree,
        evidence=own_notes,
        contrary=against,
        says=tuple(says),
        notes=(*notes, *_a2(scene, bound)),
        truth=tuple(truths),
    )


def _doublers(scene: Scene, bound: Bound, unit: Unit) -> dict[int, list[Fact]]:
    """Facts of doubling by lines of other parts, by line."""
    table = scene.table
    wanted = {i for u in bound.named_units("with") for i in u.lines}
    here = set(bound.bars.indices)
    found: dict[int, list[Fact]] = {}
    for line in table.lines:
        if line.part == unit.part or (wanted and line.index not in wanted):
            continue
        if not proof.bars_sounding(table, [line.index]) & here:
            continue
        other = Unit(line.part, (line.index,), line.name)
        facts = [
            f
            for f in facts_between(scene, unit, [other])
            if f.value["coverage"] in DOUBLED | {"partial"}
        ]
        if facts:
            found[line.index] = facts
    return found


def _bars_of(own: Mapping[int, Sequence[Fact]], coverages: Iterable[str]) -> set[int]:
    return {
        b for fs in own.values() for f in fs if f.value["coverage"] in coverages for b in f.bars
    }


def _a2(scene: Scene, bound: Bound) -> tuple[Sentence, ...]:
    """Two players of one staff in unison: told, not counted."""
    bars = bound.bars
    for unit in bound.units:
        siblings = [x.index for x in scene.table.lines if x.part == unit.part]
        for a in unit.lines:
            for b in siblings:
                if a == b:
                    continue
                for run in pair_runs(scene.table, a, b, scene.settings):
                    inside = set(run_bars(scene.table, run)) & set(bars.indices)
                    if run.octaves == 0 and run.coverage in ("full", "noted") and inside:
                        return (speech.say("claim.doubling.a2"),)
    return ()
