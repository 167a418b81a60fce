"""Only these play: nobody else sounds."""

from __future__ import annotations

from collections.abc import Sequence

from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bars, Bound, Judgement, Scene, Verdict
from analysis.engine.claims.facts import place_verdict, stretch
from analysis.engine.claims.naming import part_json, place_json, units_playing
from analysis.engine.claims.negation import deny
from analysis.engine.claims.unique import unique
from analysis.engine.names import Unit


def judge_only(scene: Scene, bound: Bound) -> Judgement:
    """Nobody else sounds, and each of those named plays in half of the bars or more."""
    table, bars = scene.table, bound.bars
    lines = {line for unit in bound.units for line in unit.lines}
    others = [line.index for line in table.lines if line.index not in lines]
    outsiders = proof.bars_sounding(table, others)
    ours = proof.bars_sounding(table, lines)
    true = frozenset(
        b
        for b in range(bound.movement.first_bar, bound.movement.last_bar + 1)
        if b in ours and b not in outsiders
    )
    if bound.claim.negated:
        shown = proof.notes(table, proof.rows_of(table, others, bars.start, bars.end))
        return deny(
            scene,
            bound,
            true,
            proof.notes(table, proof.rows_of(table, lines, bars.start, bars.end)),
            evidence=shown,
        )
    silent = [u for u in bound.units if not _plays_enough(scene, u, bars)]
    place = place_verdict(true, bars, scene.settings)
    relation: Verdict = "right"
    if not true & set(bars.indices):
        place, relation = "right", "wrong"
    parts = _silent_verdict(bound, silent)
    intruders = [i for i in others if proof.bars_sounding(table, [i]) & set(bars.indices)]
    contrary = proof.notes(table, proof.rows_of(table, intruders, bars.start, bars.end))
    for unit in silent:
        contrary += (proof.rests(table, unit.part, bars.first, bars.last),)
    says = [
        speech.say(
            "claim.playing.only",
            parts=speech.people(table, [u for u in bound.units if u not in silent]),
            bars=speech.bars(table, bars.first, bars.last),
        )
        if place == relation == "right"
        else speech.say("claim.playing.others", parts=speech.line_names(table, intruders))
    ]
    if silent:
        says.append(speech.say("claim.playing.resting", parts=speech.people(table, silent)))
    base = bound.claim.as_json()
    truths = []
    if run := stretch(true & set(bars.indices), bars):
        truths.append({**base, "bars": place_json(table, *run)})
    here = units_playing(table, bound.bars.indices)
    truths.append({**base, "parts": [part_json(table, u) for u in here]})
    judgement = Judgement(
        place=place,
        parts=parts,
        relation=relation,
        evidence=proof.notes(table, proof.rows_of(table, lines, bars.start, bars.end)),
        contrary=contrary,
        says=tuple(says),
        truth=tuple(truths),
    )
    if judgement.all_right:
        notes = speech.place_note(table, stretch(true, bars), bars.first, bars.last)
        judgement = judgement.but(notes=tuple(notes))
    return unique(scene, bound, judgement, true)


def _plays_enough(scene: Scene, unit: Unit, bars: Bars) -> bool:
    played = proof.bars_sounding(scene.table, unit.lines)
    return place_verdict(played, bars, scene.settings) != "wrong"


def _silent_verdict(bound: Bound, silent: Sequence[Unit]) -> Verdict:
    """A collective ("strings only") may have members that rest; a named part may not."""
    if not silent:
        return "right"
    by_name = {u for n in bound.parts if n.how != "collective" for u in n.units}
    named = [u for u in silent if u in by_name]
    if named:
        return "near" if len(named) == 1 and len(bound.units) >= 3 else "wrong"
    if len(silent) == len(bound.units):
        return "wrong"
    return "right" if 2 * len(silent) <= len(bound.units) else "near"
