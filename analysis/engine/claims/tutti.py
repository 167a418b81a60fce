"""Tutti: every family, and four fifths of the lines that play in the movement."""

from __future__ import annotations

import numpy as np

from analysis.engine.analyses import forces, spans
from analysis.engine.analyses.attacks import BoolArray
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bars, Bound, Judgement, Scene
from analysis.engine.claims.facts import Try, best_try, stretch, stretches
from analysis.engine.claims.naming import part_json, place_json, units_playing
from analysis.engine.claims.negation import deny
from analysis.engine.claims.unique import unique
from analysis.engine.model import ScoreTable, Sentence


def judge_tutti(scene: Scene, bound: Bound) -> Judgement:
    """Every family, and `tutti_share` of the lines that play at all in the movement."""
    table, bars = scene.table, bound.bars
    found = forces.tutti_bars(table, scene.settings) | _everybody(scene, bound)
    movement = range(bound.movement.first_bar, bound.movement.last_bar + 1)
    full = frozenset(b for b in movement if found[b])
    short = _one_short(scene, bound)
    near = full | frozenset(b for b in movement if short[b])
    active = [i for i in range(len(table.lines)) if _plays_in(table, bound, i)]
    resting = [i for i in active if not proof.bars_sounding(table, [i]) & set(bars.indices)]
    sometimes = [
        (i, s)
        for i in active
        for s in stretches(set(bars.indices) - proof.bars_sounding(table, [i]))
    ]
    contrary = tuple(proof.rests(table, table.lines[i].part, *s) for i, s in sometimes[:12])
    if bound.claim.negated:
        counter = proof.notes(table, proof.rows_of(table, active, bars.start, bars.end))
        return deny(scene, bound, full, counter, evidence=contrary)
    attempt = best_try([Try(full), Try(near, relation="near")], bars, scene.settings)
    place, relation = attempt.place(bars, scene.settings), attempt.relation
    if not attempt.true & set(bars.indices):
        place, relation = "right", "wrong"
    right = place == relation == "right"
    says = [
        speech.say("claim.playing.tutti", bars=speech.bars(table, bars.first, bars.last))
        if right
        else speech.say(
            "claim.playing.short" if relation != "wrong" else "claim.playing.resting",
            parts=speech.line_names(table, [i for i, _ in sometimes]),
        )
    ]
    notes: list[Sentence] = []
    if right:
        idle = [i for i in dict.fromkeys(i for i, _ in sometimes) if _excused(scene, i, bars)]
        if idle:
            names = speech.line_names(table, idle)
            notes.append(speech.say("claim.playing.brass", parts=names))
        rest = [i for i in resting if i not in idle]
        if rest:
            notes.append(speech.say("claim.playing.resting", parts=speech.line_names(table, rest)))
        notes += speech.place_note(table, stretch(full, bars), bars.first, bars.last)
    base = bound.claim.as_json()
    truths = []
    if run := stretch(full & set(bars.indices), bars):
        truths.append({**base, "bars": place_json(table, *run)})
    if run := stretch(full, bars):
        truths.append({**base, "bars": place_json(table, *run)})
    here = units_playing(table, bound.bars.indices)
    if here:
        truths.append({**base, "mode": "only", "parts": [part_json(table, u) for u in here]})
    judgement = Judgement(
        place=place,
        relation=relation,
        evidence=proof.notes(table, proof.rows_of(table, active, bars.start, bars.end)),
        contrary=contrary,
        says=tuple(says),
        notes=tuple(notes),
        truth=tuple(truths),
    )
    return unique(scene, bound, judgement, full)


def _plays_in(table: ScoreTable, bound: Bound, line: int) -> bool:
    row = spans.sounding(table)[line]
    return bool(row[bound.movement.first_bar : bound.movement.last_bar + 1].any())


def _everybody(scene: Scene, bound: Bound) -> BoolArray:
    """Bars in which all lines of the movement sound: of a trio too, though it is no news there."""
    plays = spans.counted(scene.table)
    bars = slice(bound.movement.first_bar, bound.movement.last_bar + 1)
    force = plays[:, bars].any(axis=1)
    found = np.zeros(plays.shape[1], dtype=bool)
    if force.any():
        found |= plays[force].all(axis=0)
    return found


def _one_short(scene: Scene, bound: Bound) -> BoolArray:
    """Bars that are a tutti but for one family: `tutti_share` of the lines of all the others."""
    table, movement = scene.table, bound.movement
    plays = spans.sounding(table)
    force = plays[:, movement.first_bar : movement.last_bar + 1].any(axis=1)
    families = np.array([line.family for line in table.lines])
    names = sorted(set(families[force]))
    found = np.zeros(plays.shape[1], dtype=bool)
    if len(names) < 3:
        return found
    absent = np.array([~plays[force & (families == name)].any(axis=0) for name in names])
    for row, name in zip(absent, names, strict=True):
        others = force & (families != name)
        share = plays[others].sum(axis=0) >= scene.settings.tutti_share * others.sum()
        found |= row & (absent.sum(axis=0) == 1) & share
    return found


def _excused(scene: Scene, line: int, bars: Bars) -> bool:
    """Natural brass and drums: their rest does not count where the tutti stands without them."""
    if scene.table.lines[line].instrument not in ("horn", "trumpet", "timpani"):
        return False
    _, excused = forces.tutti_kinds(scene.table, scene.settings)
    return bool(excused[bars.first : bars.last + 1].any())
