"""Sides-with: the family, or part, that a part goes with, by notes, rhythm or job.

Facts: `analyses.sides`, bar by bar. A stretch of play belongs to a side if the tutor's share of
its bars does (`sides_share`); where another family has as many it goes with both.
"""

from __future__ import annotations

from collections.abc import Sequence

from analysis.engine.analyses.sides import WAYS, By, goes_with
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.each import One, joined
from analysis.engine.claims.facts import Fact, Try, best_try, stretch
from analysis.engine.claims.fields import JSON, Field, Form, PartField, Word
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.sides_facts import SideTaken, by_family, facts
from analysis.engine.model import Evidence, Sentence
from analysis.engine.names import Unit
from analysis.engine.sentences import register

register(
    {
        "claim.sides.is": "{part} {shares} {side} in {met} of the {of} bars it plays in {bars}.",
        "claim.sides.is.unsure": (
            "{part} {shares} {side} in {met} of the {of} bars it plays in {bars}, which is no "
            "clear side."
        ),
        "claim.sides.pitch": "shares the notes of",
        "claim.sides.rhythm": "shares the rhythm of",
        "claim.sides.role": "has a job together with",
        "claim.sides.family": "the {family}",
        "claim.sides.both": "It goes with {family} as much.",
        "claim.sides.other-way": "By {claimed} it does not: look at the {found}.",
        "claim.sides.way.pitch": "notes",
        "claim.sides.way.rhythm": "rhythm",
        "claim.sides.way.role": "jobs",
    }
)

#: how sure that a side is not taken, by counting and by jobs; shares up to which it is not
COUNTED, JOBS, UNSURE = 0.95, 0.8, 0.6
SELDOM = 0.35


def judge(scene: Scene, bound: Bound) -> Judgement:
    side = SideTaken.of(scene.table, bound.named["side"][0])
    if bound.claim.negated:
        return _deny(scene, bound, side)
    return joined({unit: _of_unit(scene, bound, unit, side) for unit in bound.units})


def _of_unit(scene: Scene, bound: Bound, unit: Unit, side: SideTaken) -> One:
    table, bars = scene.table, bound.bars
    inside = set(bars.indices)
    if not proof.bars_sounding(table, unit.lines) & inside:
        rests = proof.playing_or_rests(table, unit.lines, bars.first, bars.last)
        return One(relation="wrong", contrary=rests, says=(_rests(scene, bound, unit),))
    by: By = bound["by"]
    own = facts(scene, bound, unit.lines, side, by)
    others = {way: facts(scene, bound, unit.lines, side, way) for way in WAYS if way != by}
    attempt = best_try(_tries(own, others), bars, scene.settings)
    shown = proof.notes(table, proof.rows_of(table, unit.lines, bars.start, bars.end))
    truth = _truths(scene, bound, unit, [*own, *(f for fs in others.values() for f in fs)])
    true = attempt.true & inside
    if not true or attempt.place(bars, scene.settings) == "wrong":
        return _not(scene, bound, unit, side, shown, truth)
    used = [f for f in attempt.facts if f.bars & inside]
    says = _says(scene, bound, unit, side, used)
    if attempt.degree == "near":
        found = used[0].value["by"]
        says.append(
            speech.say(
                "claim.sides.other-way",
                claimed=speech.phrase(f"claim.sides.way.{by}"),
                found=speech.phrase(f"claim.sides.way.{found}"),
            )
        )
    if attempt.relation == "near":
        says += _with_both(scene, bound, unit, side, used)
    notes = speech.place_note(table, stretch(attempt.true, bars), bars.first, bars.last)
    return One(
        place=attempt.place(bars, scene.settings),
        relation=attempt.relation,
        degree=attempt.degree,
        confidence=sum(f.confidence for f in used) / len(used),
        evidence=shown,
        contrary=shown,
        says=tuple(says),
        notes=tuple(notes),
        truth=truth,
    )


def _tries(own: Sequence[Fact], others: dict[By, list[Fact]]) -> list[Try]:
    """As claimed; with another family too; by another way."""
    clear = [f for f in own if not f.value.get("both")]
    tries = [_try(clear), _try(own, relation="near")]
    tries += [_try([f for f in found if not f.value.get("both")], degree="near")
              for found in others.values()]  # fmt: skip
    return tries


def _try(found: Sequence[Fact], relation: Verdict = "right", degree: Verdict = "right") -> Try:
    return Try(frozenset(b for f in found for b in f.bars), relation, degree, tuple(found))


def _not(
    scene: Scene,
    bound: Bound,
    unit: Unit,
    side: SideTaken,
    shown: tuple[Evidence, ...],
    truth: tuple[JSON, ...],
) -> One:
    """It does not go with the side: how often it does, and with whom it does instead."""
    if scene.trial:
        return One(relation="wrong")
    by: By = bound["by"]
    met, of = _count(scene, bound, unit, side, by)
    says = [_say(scene, bound, unit, by, _named(side), met, of)]
    ranked = _ranking(scene, bound, unit, by, side)
    if ranked and ranked[0][1] > met:
        family = speech.phrase("claim.sides.family", family=ranked[0][0])
        says.append(_say(scene, bound, unit, by, family, ranked[0][1], of))
    plain = of > 0 and met <= SELDOM * of
    sure = (JOBS if by == "role" else COUNTED) if plain else UNSURE
    base = {**bound.claim.as_json(), "parts": [part_json(scene.table, unit)]}
    instead: list[JSON] = [{**base, "side": family} for family, _ in ranked[:1]]
    return One(
        relation="wrong",
        confidence=sure,
        contrary=shown,
        says=tuple(says),
        truth=(*truth, *instead, {**base, "negated": True}),
    )


def _count(scene: Scene, bound: Bound, unit: Unit, side: SideTaken, by: By) -> tuple[int, int]:
    """Claimed bars in which the part goes with the side, and in which it plays."""
    best = (0, 0)
    low = bound.bars.first - bound.movement.first_bar
    here = slice(low, low + len(bound.bars))
    for line in unit.lines:
        plays, met = goes_with(scene.table, bound.movement, line, list(side.lines), by)
        count = int(met[here].sum()), int(plays[here].sum())
        if count[1] and (not best[1] or count[0] / count[1] > best[0] / best[1]):
            best = count
    return best


def _ranking(
    scene: Scene, bound: Bound, unit: Unit, by: By, side: SideTaken
) -> list[tuple[str, int]]:
    """The other families by claimed bars in which the part goes with them."""
    low = bound.bars.first - bound.movement.first_bar
    here = slice(low, low + len(bound.bars))
    counts: dict[str, int] = {}
    for line in unit.lines:
        for family, met in by_family(scene, bound, line, by).items():
            if family != side.family:
                counts[family] = max(counts.get(family, 0), int(met[here].sum()))
    return sorted(((f, n) for f, n in counts.items() if n), key=lambda x: (-x[1], x[0]))


# --- words --------------------------------------------------------------------


def _named(side: SideTaken) -> object:
    if side.family:
        return speech.phrase("claim.sides.family", family=side.family)
    return side.label


def _rests(scene: Scene, bound: Bound, unit: Unit) -> Sentence:
    bars = speech.bars(scene.table, bound.bars.first, bound.bars.last)
    return speech.say("claim.rests", part=unit.label, bars=bars)


def _say(
    scene: Scene, bound: Bound, unit: Unit, by: By, side: object, met: int, of: int
) -> Sentence:
    return speech.say(
        "claim.sides.is",
        part=unit.label,
        shares=speech.phrase(f"claim.sides.{by}"),
        side=side,
        met=met,
        of=of,
        bars=speech.bars(scene.table, bound.bars.first, bound.bars.last),
    )


def _says(
    scene: Scene, bound: Bound, unit: Unit, side: SideTaken, used: Sequence[Fact]
) -> list[Sentence]:
    says = []
    if used and used[0].tutor is None:
        way: By = used[0].value["by"]
        met, of = _count(scene, bound, unit, side, way)
        says.append(_say(scene, bound, unit, way, _named(side), met, of))
    return [*says, *(f.tutor for f in used if f.tutor)]


def _with_both(
    scene: Scene, bound: Bound, unit: Unit, side: SideTaken, used: Sequence[Fact]
) -> list[Sentence]:
    ranked = _ranking(scene, bound, unit, bound["by"], side)
    if not ranked:
        return []
    family = speech.phrase("claim.sides.family", family=ranked[0][0])
    return [speech.say("claim.sides.both", family=family)]


def _truths(scene: Scene, bound: Bound, unit: Unit, found: Sequence[Fact]) -> tuple[JSON, ...]:
    base = {**bound.claim.as_json(), "parts": [part_json(scene.table, unit)], "negated": False}
    near = sorted(found, key=lambda f: -len(f.bars & set(bound.bars.indices)))
    told = []
    for fact in near[:3]:
        if (run := stretch(fact.bars, bound.bars)) is not None:
            where = place_json(scene.table, *run)
            told.append({**base, "bars": where, "by": fact.value.get("by", bound["by"])})
    return tuple(told)


def _deny(scene: Scene, bound: Bound, side: SideTaken) -> Judgement:
    """It goes with the side in no stretch: conflicts where one stretch of it does."""
    table, bars = scene.table, bound.bars
    by: By = bound["by"]
    true: set[int] = set()
    sure: list[float] = []
    says: list[Sentence] = []
    shown: list[Evidence] = []
    for unit in bound.units:
        shown += proof.playing_or_rests(table, unit.lines, bars.first, bars.last)
        inside = proof.bars_sounding(table, unit.lines) & set(bars.indices)
        if not inside:  # a stretch goes on over rests, but who rests takes no side
            sure.append(COUNTED)
            says.append(_rests(scene, bound, unit))
            continue
        found = [f for f in facts(scene, bound, unit.lines, side, by) if f.bars & inside]
        true |= {b for f in found for b in f.bars}
        if found:
            sure.append(max(f.confidence for f in found))
        met, of = _count(scene, bound, unit, side, by)
        says.append(_say(scene, bound, unit, by, _named(side), met, of))
        if not found:
            plain = met <= SELDOM * of
            sure.append((JOBS if by == "role" else COUNTED) if plain else UNSURE)
    hit = bool(true & set(bars.indices))
    denial = deny(
        scene, bound, true, tuple(shown), evidence=tuple(shown),
        confidence=max(sure) if hit else min(sure), judged=True,
    )  # fmt: skip
    return denial.but(says=(*denial.says, *says))


KIND = Kind(
    name="sides-with",
    says="which family a part goes with",
    form=Form(
        (
            Field("side", PartField(), required=True),
            Field("by", Word(WAYS), required=True),
        )
    ),
    judge=judge,
    part_fields=("side",),
)
