"""Role: the job of a part. Rests on the findings of kind "role"; "unclear" is a legal answer.

That a part does *not* do something is as sure as its class of work is unlikely there
(`role_chances`); only a tune is denied so surely that it conflicts. A line may have two jobs, so
another job found is no evidence against this one. Where the part does have work of that class,
under another word, the found word's confidence counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.facts import (
    Fact,
    Try,
    best_try,
    combine_units,
    stretch,
    stretches,
    truthful,
    with_tutor,
)
from analysis.engine.claims.fields import Field, Form, Word
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.role_chances import (
    COUNTED,
    absence,
    no_bass,
    same_class,
)
from analysis.engine.claims.role_misread import misread
from analysis.engine.claims.roles import CLASSES, ROLES, UNCLEAR
from analysis.engine.model import Evidence, Sentence
from analysis.engine.names import Unit
from analysis.engine.sentences import register

register(
    {
        "claim.role.is": "{part} reads as {role} in {bars}.",
        "claim.role.is.unsure": "I read {part} as {role} in {bars}, but not surely.",
        "claim.role.not": "I do not read {part} as {role} in {bars}.",
        "claim.role.not.unsure": "I hardly read {part} as {role} in {bars}.",
        "claim.role.unclear": "What {part} does there is not clear to me.",
        "claim.role.unclear.unsure": "What {part} does there is not clear to me.",
    }
)

#: the setting below which a role goes to the tutor's ear; that a second tune is nearly the tune,
#: and that a role is denied rightly, is said only where the general one is kept
LEAST = "role_confidence"
#: whatever that is, what is as likely there as not is not denied
EVEN = 0.5


def judge(scene: Scene, bound: Bound) -> Judgement:
    table, bars, wanted = scene.table, bound.bars, bound["role"]
    facts = {unit: _facts(scene, bound, unit) for unit in bound.units}
    tries = {unit: best_try(_tries(own, wanted), bars, scene.settings)
             for unit, own in facts.items()}  # fmt: skip
    if bound.claim.negated:
        return _deny(scene, bound, facts, wanted)
    verdicts: list[tuple[Verdict, Verdict, Verdict]] = []
    sure: list[float] = []
    for unit, attempt in tries.items():
        verdict, confidence = _unit_verdict(scene, bound, unit, attempt, facts[unit])
        verdicts.append(verdict)
        sure.append(confidence)
    place, parts, relation, degree = combine_units(verdicts)
    good = [u for u, v in zip(tries, verdicts, strict=True) if "wrong" not in v]
    says: list[Sentence] = []
    for unit, verdict in zip(bound.units, verdicts, strict=True):
        says += _says(scene, bound, unit, facts[unit], denied="wrong" in verdict)
    base = bound.claim.as_json()
    truths: list[dict[str, Any]] = []
    cause = None
    if len(bound.units) == 1 and relation == "wrong" and not scene.trial:
        cause, why, instead = misread(scene, bound, facts[bound.units[0]], min(sure))
        says += why
        truths += instead
    for unit, attempt in tries.items():
        if run := stretch(attempt.true & set(bars.indices), bars):
            where = place_json(table, *run)
            truths.append({**base, "parts": [part_json(table, unit)], "bars": where})
        for fact in facts[unit]:
            if run := stretch(fact.bars & set(bars.indices), bars):
                value = {"role": fact.value["role"], "parts": [part_json(table, unit)]}
                truths.append({**base, **value, "bars": place_json(table, *run)})
    return Judgement(
        place=place,
        parts=parts,
        relation=relation,
        degree=degree,
        confidence=min(sure, default=0.0),
        judged=wanted != "silence",
        least="min_confidence" if degree == "near" and same_class(wanted, "melody") else LEAST,
        evidence=_notes(scene, bound, good),
        contrary=_notes(scene, bound, [u for u in bound.units if u not in good] or bound.units),
        says=tuple(says),
        notes=_further(scene, bound, tries) if "wrong" not in (place, parts, relation) else (),
        truth=tuple(truths),
        cause=cause,
    )


def _facts(scene: Scene, bound: Bound, unit: Unit) -> list[Fact]:
    """Roles of the unit, from the findings; its rests are silence."""
    found = [
        Fact(
            frozenset(range(f.first, f.last + 1)),
            {"role": f.value["role"]},
            f.lines,
            f.confidence,
            f.evidence,
        )
        for f in scene.of_kind("role", bound.movement.index)
        if set(f.lines) & set(unit.lines) and f.value.get("role") in ROLES
    ]
    sounding = proof.bars_sounding(scene.table, unit.lines)
    movement = range(bound.movement.first_bar, bound.movement.last_bar + 1)
    silent = frozenset(b for b in movement if b not in sounding)
    if silent:
        found.append(Fact(silent, {"role": "silence"}, unit.lines))
    return with_tutor(found, scene, "role", unit.lines)


def _tries(facts: Iterable[Fact], wanted: str) -> list[Try]:
    own = list(facts)
    exact, kept = truthful(own, lambda v: v["role"] == wanted)
    akin, like = truthful(own, lambda v: v["role"] == wanted or _akin(v["role"], wanted))
    return [Try(exact, facts=kept), Try(akin, degree="near", facts=like)]


def _akin(a: str, b: str) -> bool:
    return any(a in words and b in words for words in CLASSES)


def _unit_verdict(
    scene: Scene, bound: Bound, unit: Unit, attempt: Try, facts: Iterable[Fact]
) -> tuple[tuple[Verdict, Verdict, Verdict], float]:
    bars, wanted = bound.bars, bound["role"]
    inside = set(bars.indices)
    place = attempt.place(bars, scene.settings)
    if attempt.true & inside and place != "wrong":
        return (place, "right", attempt.degree), _mean(attempt.facts, inside)
    others = [f for f in facts if f.bars & inside]
    covered = {b for f in others for b in f.bars} & inside
    missing = _absence(scene, bound, unit, others)
    if len(covered) < len(inside) and missing < max(getattr(scene.settings, LEAST), EVEN):
        return ("right", "open", "right"), 0.0
    if wanted == "silence":
        return ("right", "wrong", "right"), _mean(others, inside)
    return ("right", "wrong", "right"), missing


def _absence(scene: Scene, bound: Bound, unit: Unit, others: Sequence[Fact]) -> float:
    """How sure it is that the part does not do what is claimed in these bars."""
    inside, wanted = set(bound.bars.indices), bound["role"]
    if any(f.tutor for f in others):
        return _mean(others, inside)
    if wanted == "bass line" and no_bass(scene.table, unit.lines, bound.bars):
        return COUNTED
    missing = absence(scene.table, bound.movement, unit.lines, bound.bars, wanted)
    alike = [f for f in others if same_class(f.value["role"], wanted)]
    return max(missing, _mean(alike, inside)) if _covers(alike, inside) else missing


def _covers(facts: Iterable[Fact], inside: set[int]) -> bool:
    return inside <= {b for f in facts for b in f.bars}


def _mean(facts: Iterable[Fact], inside: set[int]) -> float:
    """Mean confidence over the bars in question, each by its surest fact."""
    own = list(facts)
    values = [
        max((f.confidence for f in own if bar in f.bars), default=None) for bar in sorted(inside)
    ]
    known = [v for v in values if v is not None]
    return sum(known) / len(known) if known else 0.0


def _deny(scene: Scene, bound: Bound, facts: Mapping[Unit, list[Fact]], wanted: str) -> Judgement:
    inside = set(bound.bars.indices)
    own = [f for fs in facts.values() for f in fs if f.bars & inside]
    hits = [f for f in own if f.value["role"] == wanted]
    true = frozenset(b for f in hits for b in f.bars)
    if hits:
        confidence = _mean(hits, set(true & inside))
    elif wanted == "silence":
        confidence = _mean(own, inside) if _covers(own, inside) else 0.0
    else:
        sure = (_absence(scene, bound, u, [f for f in fs if f.bars & inside])
                for u, fs in facts.items())  # fmt: skip
        confidence = min(sure, default=0.0)
    counter = _notes(scene, bound, bound.units)
    return deny(scene, bound, true, counter, evidence=counter, confidence=confidence, judged=True)


def _notes(scene: Scene, bound: Bound, units: Iterable[Unit]) -> tuple[Evidence, ...]:
    return tuple(
        e
        for u in units
        for e in proof.playing_or_rests(scene.table, u.lines, bound.bars.first, bound.bars.last)
    )


def _says(
    scene: Scene, bound: Bound, unit: Unit, facts: Iterable[Fact], *, denied: bool
) -> list[Sentence]:
    inside = set(bound.bars.indices)
    says: list[Sentence] = []
    for fact in facts:
        for run in stretches(fact.bars & inside):
            where = speech.bars(scene.table, *run)
            if fact.value["role"] == "silence":
                says.append(speech.say("claim.rests", part=unit.label, bars=where))
            else:
                role = fact.value["role"]
                says.append(speech.say("claim.role.is", part=unit.label, role=role, bars=where))
            if fact.tutor:
                says.append(fact.tutor)
    if denied and not says:
        where = speech.bars(scene.table, bound.bars.first, bound.bars.last)
        says.append(speech.say("claim.role.not", part=unit.label, role=bound["role"], bars=where))
    return says or [speech.say("claim.role.unclear", part=unit.label)]


def _further(scene: Scene, bound: Bound, tries: Mapping[Unit, Try]) -> tuple[Sentence, ...]:
    bars = bound.bars
    common = frozenset.intersection(*(t.true for t in tries.values()))
    run: Any = stretch(common, bars) if common else None
    if run is None or not set(bars.indices) <= common:
        return ()
    return tuple(speech.place_note(scene.table, run, bars.first, bars.last))


KIND = Kind(
    name="role",
    says="what a part does",
    form=Form((Field("role", Word((*ROLES, UNCLEAR)), required=True),)),
    judge=judge,
)
