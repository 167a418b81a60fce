"""Share: who predominates over the claimed bars, by bars played, by notes, or by the tune.

Bars and notes are counted. The tune rests on the findings of kind "role": their confidence says
how likely it is that one has it more often than the other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import erf, sqrt
from typing import Any

import numpy as np

from analysis.engine.analyses.spans import sounding
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.fields import Field, Form, PartField, Word
from analysis.engine.claims.told import as_told
from analysis.engine.model import Evidence, Sentence
from analysis.engine.names import resolve
from analysis.engine.sentences import register

register(
    {
        "claim.share.bars": "Bars played, of {total}: {who} {own}, {other} {theirs}.",
        "claim.share.notes": "Notes, of {total}: {who} {own}, {other} {theirs}.",
        "claim.share.melody": "Bars with the tune: {who} {own}, {other} {theirs}.",
        "claim.share.melody.unsure": (
            "Bars with the tune, as far as I can tell: {who} {own}, {other} {theirs}."
        ),
        "claim.share.alone": "Nobody else plays: {who}.",
        "claim.share.equal": "Neither predominates.",
        "claim.share.unclear": "Who has the tune there is not clear to me.",
        "claim.share.family.woodwind": "the woodwind",
        "claim.share.family.brass": "the brass",
        "claim.share.family.strings": "the strings",
        "claim.share.family.percussion": "the percussion",
        "claim.share.family.voice": "the voices",
        "claim.share.family.keyboard": "the keyboard",
        "claim.share.family.plucked": "the plucked strings",
        "claim.share.family.unknown": "the others",
    }
)

#: of the leader's amount: so little less is near; common practice
CLOSE = 0.9
#: how sure the tune can be at most: it is judged
SUREST = 0.97


@dataclass(frozen=True, slots=True)
class Side:
    """One that may predominate: its lines, what it has, and how to call it."""

    lines: frozenset[int]
    amount: float
    spread: float  # variance of the amount; 0 where it is counted
    bars: int  # or notes: the amount as one says it
    name: Any
    claim: str  # as a PART


def judge(scene: Scene, bound: Bound) -> Judgement:
    told_so = as_told(scene, bound, lambda value: _same(scene, bound, value))
    if told_so is not None:
        return told_so
    measure = _measure(scene, bound)
    units = bound.named_units("predominant")
    lines = frozenset(i for u in units for i in u.lines)
    text = bound["predominant"].text
    said = units[0].label if _is_part(bound) else text
    own = Side(lines, *measure(lines), said, text)
    rivals = sorted(_rivals(scene, bound, lines, measure), key=lambda s: -s.amount)
    judged = bound["of"] == "melody"
    total = _total(scene, bound)
    if judged and own.amount + sum(r.amount for r in rivals) < 1:
        says = (speech.say("claim.share.unclear"),)
        shown = tuple(e for u in units for e in proof.playing_or_rests(
            scene.table, u.lines, bound.bars.first, bound.bars.last))  # fmt: skip
        return Judgement(relation="open", judged=True, confidence=0.0, evidence=shown, says=says)
    best = rivals[0] if rivals else None
    leads = best is None or own.amount > best.amount
    level = best is not None and own.amount == best.amount
    near = best is not None and own.amount >= CLOSE * best.amount > 0
    degree: Verdict = "right" if leads and own.amount else "near" if near else "wrong"
    ours = _notes(scene, bound, own.lines)
    theirs = _notes(scene, bound, best.lines) if best else ours
    confidence = _odds(own, best, leads) if judged else 1.0
    if bound.claim.negated:
        degree = "wrong" if degree == "right" else "right"
        ours, theirs = theirs, ours
    return Judgement(
        degree=degree,
        confidence=confidence,
        judged=judged,
        evidence=ours or theirs,
        contrary=theirs or ours,
        says=_says(bound, own, best, total, level),
        truth=tuple(_truths(bound, own, best, leads)),
    )


def _same(scene: Scene, bound: Bound, value: Mapping[str, Any]) -> bool | None:
    """Whether a stored share names the same part or family; None if it is of another measure."""
    if value.get("of") != bound["of"]:
        return None
    name = PartField().read(value.get("predominant"), "predominant")
    theirs = resolve(name, scene.table, bound.movement.index).lines
    return set(theirs) == {i for u in bound.named_units("predominant") for i in u.lines}


Measure = Callable[[frozenset[int]], tuple[float, float, int]]


def _measure(scene: Scene, bound: Bound) -> Measure:
    """What a set of lines has in the claimed bars, its variance, and the count one says."""
    table, bars = scene.table, bound.bars
    span = slice(bars.first, bars.last + 1)
    if bound["of"] == "bars":
        plays = sounding(table)[:, span]
        return lambda lines: _counted(plays[sorted(lines)].any(axis=0).sum())
    if bound["of"] == "notes":
        rows = proof.attacked(table, range(len(table.lines)), bars.start, bars.end)
        count = np.bincount(rows["line"], minlength=len(table.lines))
        return lambda lines: _counted(count[sorted(lines)].sum())
    tune = np.zeros((len(table.lines), len(bars)))
    for f in scene.of_kind("role", bound.movement.index):
        if f.value.get("role") == "melody":
            first, last = max(f.first, bars.first), min(f.last, bars.last)
            for line in f.lines if first <= last else ():
                here = tune[line, first - bars.first : last - bars.first + 1]
                np.maximum(here, f.confidence, out=here)

    def melody(lines: frozenset[int]) -> tuple[float, float, int]:
        odds = tune[sorted(lines)].max(axis=0, initial=0.0)
        return float(odds.sum()), float((odds * (1 - odds)).sum()), int((odds > 0).sum())

    return melody


def _counted(amount: Any) -> tuple[float, float, int]:
    return float(amount), 0.0, int(amount)


def _rivals(scene: Scene, bound: Bound, lines: frozenset[int], measure: Measure) -> list[Side]:
    """A family, or several parts together, is set against families; a part against parts."""
    table = scene.table
    groups: dict[str, list[int]] = {}
    single = _is_part(bound)
    for line in table.lines:
        if line.index not in lines:
            key = table.first_readings[line.part].id if single else line.family
            groups.setdefault(key, []).append(line.index)
    found = []
    for key, group in groups.items():
        members = frozenset(group)
        if single:
            label = table.first_readings[table.lines[group[0]].part].label
            found.append(Side(members, *measure(members), label, key))
        else:
            name = speech.phrase(f"claim.share.family.{key}")
            found.append(Side(members, *measure(members), name, key))
    return found


def _is_part(bound: Bound) -> bool:
    """Whether one part is named; a family of one ("the brass", a horn) is still a family."""
    one = len({u.part for u in bound.named_units("predominant")}) == 1
    return one and all(n.how != "collective" for n in bound.named["predominant"])


def _total(scene: Scene, bound: Bound) -> int:
    if bound["of"] != "notes":
        return len(bound.bars)
    table = scene.table
    bars = bound.bars
    return len(proof.attacked(table, range(len(table.lines)), bars.start, bars.end))


def _odds(own: Side, best: Side | None, leads: bool) -> float:
    """How likely it is that the one who seems to have the tune more often has (normal law)."""
    if best is None:
        return SUREST
    spread = sqrt(own.spread + best.spread)
    apart = abs(own.amount - best.amount)
    odds = 0.5 * (1 + erf(apart / (spread * sqrt(2)))) if spread else 1.0
    return min(odds, SUREST)


def _notes(scene: Scene, bound: Bound, lines: frozenset[int]) -> tuple[Evidence, ...]:
    return proof.notes_or_rests(scene.table, sorted(lines), bound.bars)


def _says(
    bound: Bound, own: Side, best: Side | None, total: int, level: bool
) -> tuple[Sentence, ...]:
    if best is None:
        return (speech.say("claim.share.alone", who=own.name),)
    said = speech.say(
        f"claim.share.{bound['of']}",
        who=own.name,
        own=own.bars,
        other=best.name,
        theirs=best.bars,
        total=total,
    )
    return (said, speech.say("claim.share.equal")) if level else (said,)


def _truths(bound: Bound, own: Side, best: Side | None, leads: bool) -> list[dict[str, Any]]:
    base = bound.claim.as_json()
    found = []
    if best is not None and not leads:
        found.append({**base, "predominant": best.claim, "negated": False})
    found.append({**base, "negated": not bound.claim.negated})
    return found


KIND = Kind(
    name="share",
    says="who dominates",
    form=Form(
        (
            Field("of", Word(("bars", "notes", "melody")), required=True),
            Field("predominant", PartField(), required=True),
        ),
        parts=False,
    ),
    judge=judge,
    pitched=False,
    part_fields=("predominant",),
    readings=frozenset(),  # some other bars nearly always give another leader: that proves nothing
)
