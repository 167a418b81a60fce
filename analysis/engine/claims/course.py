"""Course: with whom a part goes from step to step, judged step by step.

A step is right if its bars, its company and its octaves are; nine steps of ten make the course
right, six of ten near (contract, "Steps"). A step with nobody is one alone; of a pair ("clarinet 1
with clarinet 2, then alone") one in which the two are apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from analysis.engine import names, places
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import role, speech
from analysis.engine.claims.base import WHERE_AND_WHO, Bars, Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.course_said import (
    Piece,
    bars_alone,
    bars_with,
    make_pair,
    piece_value,
    piece_words,
    pieces,
)
from analysis.engine.claims.each import One, joined
from analysis.engine.claims.facts import place_verdict, worst
from analysis.engine.claims.fields import (
    JSON,
    Field,
    Form,
    Group,
    Many,
    PartField,
    PlaceField,
    Whole,
    Word,
)
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.roles import ROLES
from analysis.engine.claims.schema import Claim, to_json
from analysis.engine.model import Evidence, Sentence
from analysis.engine.names import Named, Unit
from analysis.engine.sentences import register

register(
    {
        "claim.course.is": "{part}: {steps}.",
        "claim.course.is.unsure": "I read of {part}: {steps}; but not surely.",
        "claim.course.partial": "With {company} in part only, not note for note.",
    }
)

#: shares of right steps, and of steps right or near; the contract's
MOSTLY, PARTLY = 0.9, 0.6


@dataclass(frozen=True)
class Wanted:
    """One claimed step."""

    bars: Bars
    company: tuple[Unit, ...]
    octaves: int | None
    role: str | None


def judge(scene: Scene, bound: Bound) -> Judgement:
    wanted = [_wanted(scene, bound, step) for step in bound["steps"]]
    if bound.claim.negated:
        return _deny(scene, bound, wanted)
    return joined({unit: _of_unit(scene, bound, unit, wanted) for unit in bound.units})


def _wanted(scene: Scene, bound: Bound, step: JSON) -> Wanted:
    table, movement = scene.table, bound.movement.index
    span = places.resolve(step["bars"], table, movement)
    units = [u for p in step["with"] for u in names.resolve(p, table, movement).units]
    return Wanted(
        Bars(span.first, span.last, span.start, span.end),
        tuple(dict.fromkeys(units)),
        step["octaves"],
        step["role"],
    )


def of_step(scene: Scene, bound: Bound, step: JSON) -> Bound:
    """One step as a claim about its own bars, with its company."""
    wanted = _wanted(scene, bound, step)
    company = tuple(Named(u.label, (u,), "label") for u in wanted.company)
    return replace(bound, bars=wanted.bars, named={"with": company})


def _of_unit(scene: Scene, bound: Bound, unit: Unit, wanted: Sequence[Wanted]) -> One:
    table = scene.table
    named = tuple(dict.fromkeys(u for w in wanted for u in w.company))
    steps = [_step(scene, bound, unit, w, named) for w in wanted]
    told = _tutor(scene, bound, unit)
    if told is not None:
        return One(evidence=_evidence(scene, unit, wanted), says=(told,))
    place, relation, degree = _together(steps)
    if scene.trial and (place, relation, degree) != ("right", "right", "right"):
        return One(place, relation, degree)
    is_wrong = "wrong" in (place, relation, degree)
    bad = [s for s in steps if s.is_wrong]
    sure = (
        max((s.confidence for s in bad), default=1.0)
        if is_wrong
        else min(s.confidence for s in steps)
    )
    span = _span(scene, wanted)
    own = pieces(scene, unit, named, span)
    pair = bool(named) and all(make_pair(table, unit, o) for o in named)
    told_steps = [piece_words(table, p, named, pair=pair) for p in own[:8]]
    says = [speech.say("claim.course.is", part=unit.label, steps=told_steps)]
    says += [s for one in steps for s in one.says]
    odd = [w for w, s in zip(wanted, steps, strict=True) if not s.is_right]
    octaves = all(s.is_right or (s.place, s.relation) == ("right", "right") for s in steps)
    return One(
        place=place,
        relation=relation,
        degree=degree,
        confidence=sure,
        evidence=_evidence(scene, unit, [w for w in wanted if w not in odd] or wanted),
        contrary=_evidence(scene, unit, odd),
        says=tuple(says),
        notes=tuple(n for s in steps for n in s.notes),
        truth=_truths(scene, bound, unit, steps, own),
        cause="octave-count" if octaves and degree == "near" else _one_cause(steps),
    )


def _one_cause(steps: Sequence[One]) -> str | None:
    """The cause of all steps that are not as claimed, where they have the same one."""
    causes = {s.cause for s in steps if not s.is_right}
    return causes.pop() if len(causes) == 1 else None


def _step(scene: Scene, bound: Bound, unit: Unit, wanted: Wanted, named: Sequence[Unit]) -> One:
    if wanted.role == "silence" and not wanted.company:
        sounding = proof.bars_sounding(scene.table, unit.lines)
        silent = frozenset(b for b in wanted.bars.indices if b not in sounding)
        return _held(scene, wanted, silent)
    if not wanted.company:
        alone = bars_alone(scene, unit, named)
        found = _held(scene, wanted, alone)
        plays = proof.bars_sounding(scene.table, unit.lines) & set(wanted.bars.indices)
        if not plays and not found.is_right:
            found = One(relation="near")  # at rest: with nobody, though not alone
    else:
        found = _with(scene, unit, wanted)
    return found if wanted.role is None else _with_role(scene, bound, unit, wanted, found)


def _held(scene: Scene, wanted: Wanted, true: frozenset[int]) -> One:
    place = place_verdict(true, wanted.bars, scene.settings)
    if not true & set(wanted.bars.indices):
        return One(relation="wrong")
    return One(place=place)


def _with(scene: Scene, unit: Unit, wanted: Wanted) -> One:
    """With all of the company; else with some of it, more loosely, or at another distance."""
    ways: list[tuple[frozenset[int], Verdict, Verdict]] = []
    own = [u for u in wanted.company if set(u.lines) != set(unit.lines)]
    exact = [bars_with(scene, unit, u, wanted.octaves) for u in own]
    if not exact:
        return One(relation="open")
    ways.append((frozenset.intersection(*exact), "right", "right"))
    ways.append((frozenset.union(*exact), "near", "right"))
    if wanted.octaves is not None:
        other = [bars_with(scene, unit, u, None) for u in own]
        ways.append((frozenset.intersection(*other), "right", "near"))
    loose = [bars_with(scene, unit, u, wanted.octaves, loosely=True) for u in own]
    ways.append((frozenset.union(*loose), "near", "right"))
    inside = set(wanted.bars.indices)

    def cost(way: tuple[frozenset[int], Verdict, Verdict]) -> tuple[bool, int]:
        verdicts = (place_verdict(way[0], wanted.bars, scene.settings), *way[1:])
        return "wrong" in verdicts, verdicts.count("near")

    true, relation, degree = min(ways, key=cost)
    if not true & inside:
        return One(relation="wrong")
    place = place_verdict(true, wanted.bars, scene.settings)
    if len(own) == 1 and (relation, degree) == ("near", "right") and true == loose[0] != exact[0]:
        said = speech.say("claim.course.partial", company=[own[0].label])
        return One(place, relation, degree, says=(said,), cause="partial-as-full")
    return One(place, relation, degree)


def _with_role(scene: Scene, bound: Bound, unit: Unit, wanted: Wanted, found: One) -> One:
    """The step's job too, held as a claim of its own."""
    asked = Claim(None, "role", bound.claim.movement, None, (), fields={"role": wanted.role})
    named = Named(unit.label, (unit,), "label")
    sub = replace(bound, claim=asked, bars=wanted.bars, parts=(named,), named={})
    answer = role.judge(scene, sub)
    relation = worst((found.relation, answer.relation))
    if answer.confidence < scene.settings.min_confidence:
        relation = worst((relation, "open"))
    if answer.relation == "wrong" and answer.confidence < scene.settings.conflict_confidence:
        relation = "wrong" if found.relation == "wrong" else "open"
    said: tuple[Sentence, ...] = () if answer.all_right else answer.says
    return replace(
        found,
        place=worst((found.place, answer.place)),
        relation=relation,
        degree=worst((found.degree, answer.degree)),
        confidence=min(found.confidence, answer.confidence or 1.0),
        says=(*found.says, *said),
    )


def _together(steps: Sequence[One]) -> tuple[Verdict, Verdict, Verdict]:
    """From the steps to place, relation and degree of the whole course."""
    if any("open" in s.verdicts and not s.is_wrong for s in steps):
        return "right", "open", "right"
    right = sum(s.is_right for s in steps)
    fine = sum(not s.is_wrong for s in steps)
    if right >= MOSTLY * len(steps):
        return "right", "right", "right"
    verdict: Verdict = "near" if fine >= PARTLY * len(steps) else "wrong"
    odd = [s for s in steps if not s.is_right]
    for column in range(3):
        at_fault = [c for c in range(3) if any(s.verdicts[c] != "right" for s in odd)]
        if at_fault == [column]:
            found: list[Verdict] = ["right", "right", "right"]
            found[column] = verdict
            return found[0], found[1], found[2]
    return "right", verdict, "right"


def _span(scene: Scene, wanted: Sequence[Wanted]) -> Bars:
    """From the first to the last bar of the steps."""
    table = scene.table
    first = min(w.bars.first for w in wanted)
    last = max(w.bars.last for w in wanted)
    return Bars(first, last, table.bars[first].start, table.bars[last].end)


def _evidence(scene: Scene, unit: Unit, wanted: Sequence[Wanted]) -> tuple[Evidence, ...]:
    found: list[Evidence] = []
    for w in wanted[:8]:
        found += proof.playing_or_rests(scene.table, unit.lines, w.bars.first, w.bars.last)
        for other in w.company[:2]:
            found += proof.playing_or_rests(scene.table, other.lines, w.bars.first, w.bars.last)
    return tuple(dict.fromkeys(found))


def _truths(
    scene: Scene,
    bound: Bound,
    unit: Unit,
    steps: Sequence[One],
    found: Sequence[Piece],
) -> tuple[JSON, ...]:
    """The right steps of the claim alone; the course as it is; its denial."""
    table = scene.table
    base = {**bound.claim.as_json(), "parts": [part_json(table, unit)], "negated": False}
    told: list[JSON] = []
    claimed = [to_json(step) for step in bound["steps"]]
    kept = [c for c, s in zip(claimed, steps, strict=True) if s.is_right]
    if found:
        where = place_json(table, found[0].first, found[-1].last)
        told.append({**base, "bars": where, "steps": [piece_value(table, p) for p in found]})
    if kept:
        told.append({**base, "steps": kept})
    told.append({**bound.claim.as_json(), "negated": True})
    return tuple(told)


def _tutor(scene: Scene, bound: Bound, unit: Unit) -> Sentence | None:
    """The tutor's own course of this part, step for step as claimed."""
    claimed = [to_json(step) for step in bound["steps"]]
    for word in scene.tutor_on("course"):
        if word.says == "absent" or word.value is None or not set(unit.lines) <= set(word.lines):
            continue
        if to_json(word.value.get("steps")) == claimed:
            return word.sentence
    return None


def _deny(scene: Scene, bound: Bound, wanted: Sequence[Wanted]) -> Judgement:
    """It does not go so: conflicts where it does, is open where it nearly does."""
    found = joined({unit: _of_unit(scene, bound, unit, wanted) for unit in bound.units})
    shown = found.evidence or found.contrary
    if not found.any_wrong and "open" not in found.verdicts:
        judged = deny(
            scene, bound, bound.bars.indices, shown, unclear=not found.all_right,
            evidence=shown, confidence=found.confidence, judged=True,
        )  # fmt: skip
        return judged.but(says=(*judged.says, *found.says))
    sure = found.confidence if found.any_wrong else 0.0
    judged = deny(scene, bound, (), (), evidence=shown, confidence=sure, judged=True)
    return judged.but(says=(*judged.says, *found.says))


_STEP = Group(
    (
        Field("bars", PlaceField(), required=True),
        Field("with", Many(PartField()), default=()),
        Field("octaves", Whole(-8, 8)),
        Field("role", Word(ROLES)),
    )
)

KIND = Kind(
    name="course",
    says="the course of a part",
    form=Form((Field("steps", Many(_STEP, least=1), required=True),)),
    judge=judge,
    part_fields=("steps.with",),
    readings=WHERE_AND_WHO
    | {"bass-written", "old-bass-clef", "cello-treble", "untransposed", "clef"}
    | {"third-as-octave", "sixth-as-octave", "contact"},
)
