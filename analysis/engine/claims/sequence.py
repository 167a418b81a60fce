"""Sequence: a model restated at another height; a melodic chain, with its break.

Facts are those of `analyses.sequence_facts`, found from the score alone. Three statements agree
(the tutor's number), two are near; the same again at the same height is a repetition.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from analysis.engine import places
from analysis.engine.analyses.melodic import stream
from analysis.engine.analyses.repetition_facts import repetitions
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import moments, speech
from analysis.engine.claims.base import Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.each import One, joined
from analysis.engine.claims.facts import worst
from analysis.engine.claims.fields import JSON, Field, Form, Many, PointField, Whole
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.sequence_said import Stated, likeness, say_break, say_stated, stated
from analysis.engine.model import Evidence, Sentence
from analysis.engine.names import Unit
from analysis.engine.sentences import register

register(
    {
        "claim.sequence.two": (
            "It is stated twice only; here a sequence wants {least} statements."
        ),
        "claim.sequence.again": (
            "{part} says the same again at the same height in {bars}: a repetition, no sequence."
        ),
        "claim.sequence.none": (
            "I find no model that {part} states again at another height in {bars}."
        ),
        "claim.sequence.short": "The moves are there in {bars}, but too few for a chain.",
        "claim.sequence.too": "{parts} have the same sequence.",
        "claim.sequence.too.one": "{parts} has the same sequence.",
    }
)

#: how sure: a fact of another number, step or break; the same again; bars not alike, and alike
OTHER, AGAIN, UNLIKE, UNSURE = 0.95, 0.95, 0.92, 0.6
#: pieces less alike than this are no free restatement either; common practice
ALIKE = 0.6


def judge(scene: Scene, bound: Bound) -> Judgement:
    if bound.claim.negated:
        return _deny(scene, bound)
    ones = {unit: _of_unit(scene, bound, unit) for unit in bound.units}
    judgement = joined(ones)
    if judgement.all_right:
        return judgement.but(notes=(*judgement.notes, *_others(scene, bound)))
    return judgement


def _of_unit(scene: Scene, bound: Bound, unit: Unit) -> One:
    facts = stated(scene, unit.lines, bound.movement)
    close = [f for f in facts if f.within(bound.bars) or _beside(scene, bound, f)]
    tried = [(_held(scene, bound, unit, fact), fact) for fact in close]
    here = [t for t in tried if t[1].within(bound.bars) or not t[0].is_wrong]
    if not here:
        return _nothing(scene, bound, unit, [f for f in facts if f.whole and f not in close])
    return min(here, key=lambda t: _cost(t[0], bound, t[1]))[0]


def _cost(one: One, bound: Bound, fact: Stated) -> tuple[int, int, int]:
    verdicts = one.verdicts
    return verdicts.count("wrong"), verdicts.count("near"), -fact.within(bound.bars)


def _beside(scene: Scene, bound: Bound, fact: Stated) -> bool:
    first, last = fact.bars(scene.table)
    return first <= bound.bars.last + 1 and last >= bound.bars.first - 1


def _held(scene: Scene, bound: Bound, unit: Unit, fact: Stated) -> One:
    """The claim against one fact."""
    table = scene.table
    number, says_more = _number(bound, fact, scene.settings.sequence_statements)
    breaks = _break(scene, bound, fact)
    degree = worst((number, _step(bound, fact), _chain(bound, fact), breaks))
    says = say_stated(table, unit, fact)
    if bound["breaks-at"] is not None or breaks != "right":
        says.append(say_break(table, fact))
    if not fact.whole:
        least = speech.number(scene.settings.sequence_statements)
        says.append(speech.say("claim.sequence.two", least=least))
    rows = proof.attacked(table, [fact.line], fact.start, fact.end)
    shown = proof.notes(table, rows)
    first, last = fact.bars(table)
    notes: list[Sentence] = []
    if says_more:
        notes += speech.place_note(table, (first, last), bound.bars.first, bound.bars.last)
    if fact.fact and not fact.real and not fact.chain:
        notes.append(speech.say("claim.sequence.tonal"))
    return One(
        place=_place(scene, bound, fact),
        relation="right" if fact.whole else "near",
        degree=degree,
        confidence=max(fact.confidence, OTHER) if degree == "wrong" else fact.confidence,
        evidence=shown,
        contrary=shown,
        says=tuple(says),
        notes=tuple(notes),
        truth=(_truth(scene, bound, unit, fact),),
        cause=None if fact.whole or degree == "wrong" else "two-statements",
    )


def _place(scene: Scene, bound: Bound, fact: Stated) -> Verdict:
    bars, settings = bound.bars, scene.settings
    inside = fact.within(bars)
    if inside == fact.statements:
        first, last = fact.bars(scene.table)
        filled = last - first + 1 >= settings.near_share * len(bars)
        return "right" if len(bars) <= settings.occurrence_bars or filled else "near"
    if inside and inside == bound["statements"] and inside >= settings.sequence_statements:
        return "right"  # so many statements of a longer one
    if inside >= settings.sequence_statements and bound["statements"] is None:
        return "right"
    return "near" if inside or _beside(scene, bound, fact) else "wrong"


def _number(bound: Bound, fact: Stated, least: int) -> tuple[Verdict, bool]:
    """Whether the number of statements is right; and whether it is that of a narrower span."""
    wanted, inside = bound["statements"], fact.within(bound.bars)
    part = inside < fact.statements
    if wanted is None or wanted == fact.statements:
        return "right", part
    if wanted == inside and inside >= min(least, fact.statements):
        return "right", True
    return ("near" if abs(wanted - fact.statements) == 1 else "wrong"), False


def _step(bound: Bound, fact: Stated) -> Verdict:
    wanted = bound["step"]
    if wanted is None or fact.step is None or wanted == fact.step:
        return "right"
    return "near" if (wanted - fact.step) % 7 == 0 and wanted else "wrong"


def _chain(bound: Bound, fact: Stated) -> Verdict:
    """The signed intervals: all of them, or some in a row; near where only an octave differs."""
    wanted = bound["chain"]
    if wanted is None:
        return "right"
    if not fact.chain:  # of a longer model: the steps from one statement to the next
        return "right" if wanted == (fact.step,) * (fact.statements - 1) else "wrong"
    if _within(wanted, fact.chain):
        return "right"
    if _within(fact.chain, wanted):
        return "near"
    folded = [tuple(m % 7 for m in moves) for moves in (wanted, fact.chain)]
    return "near" if _within(*folded) else "wrong"


def _within(few: Sequence[int], many: Sequence[int]) -> bool:
    size = len(few)
    wanted = tuple(few)
    return any(tuple(many[k : k + size]) == wanted for k in range(len(many) - size + 1))


def _break(scene: Scene, bound: Bound, fact: Stated) -> Verdict:
    """Where it goes another way: the first note that does, or where the next statement would be."""
    point = bound["breaks-at"]
    if point is None:
        return "right"
    claimed = moments.moment(scene.table, bound, point)
    ticks = [fact.end] if fact.breaks < 0 else [fact.breaks, fact.end]
    ticks = [t for t in ticks if t < scene.table.bars[-1].end] or [fact.end - 1]
    found = [moments.verdict(scene.table, claimed, tick) for tick in ticks]
    return "right" if "right" in found else "near" if "near" in found else "wrong"


def _truth(scene: Scene, bound: Bound, unit: Unit, fact: Stated) -> JSON:
    table = scene.table
    base = bound.claim.as_json()
    for name in ("statements", "step", "chain", "breaks-at"):
        base.pop(name, None)
    value: JSON = {"chain": list(fact.chain)} if fact.chain else {"statements": fact.statements}
    if not fact.chain and fact.step is not None:
        value["step"] = fact.step
    if fact.breaks >= 0:
        value["breaks-at"] = places.point_of(table, fact.breaks)
    where = place_json(table, *fact.bars(table))
    return {**base, "parts": [part_json(table, unit)], "bars": where, **value}


# --- nothing is restated there ------------------------------------------------


def _nothing(scene: Scene, bound: Bound, unit: Unit, others: Sequence[Stated]) -> One:
    """The plainest reason; and where else in the movement it is so (`others`: what is restated)."""
    if scene.trial:
        return One(relation="wrong")
    table, bars = scene.table, bound.bars
    elsewhere = [f for f in others if worst((_step(bound, f), _chain(bound, f))) == "right"]
    elsewhere.sort(key=lambda f: abs(f.start - bars.start))
    where = speech.bars(table, bars.first, bars.last)
    rests = not proof.bars_sounding(table, unit.lines) & set(bars.indices)
    contrary = proof.playing_or_rests(table, unit.lines, bars.first, bars.last)
    truth: list[JSON] = [_truth(scene, bound, unit, fact) for fact in elsewhere[:3]]
    truth.append({**bound.claim.as_json(), "parts": [part_json(table, unit)], "negated": True})
    if rests:
        says = [speech.say("claim.rests", part=unit.label, bars=where)]
        return One(relation="wrong", contrary=contrary, says=tuple(says), truth=tuple(truth))
    same = _again(scene, bound, unit)
    if same:
        says = [speech.say("claim.sequence.again", part=unit.label, bars=where)]
        return One(
            relation="wrong", confidence=AGAIN, contrary=contrary, says=tuple(says),
            truth=tuple(truth), cause="repetition",
        )  # fmt: skip
    if (few := _few_moves(scene, bound, unit)) is not None:
        says = [speech.say("claim.sequence.short", bars=where)]
        return One(relation="near", evidence=few, says=tuple(says), truth=tuple(truth))
    says = [speech.say("claim.sequence.none", part=unit.label, bars=where)]
    for fact in elsewhere[:1]:
        says += say_stated(table, unit, fact)
    return One(
        place="wrong" if elsewhere else "right",
        relation="right" if elsewhere else "wrong",
        confidence=_sure_of_none(scene, bound, unit),
        contrary=contrary,
        says=tuple(says),
        truth=tuple(truth),
    )


def _sure_of_none(scene: Scene, bound: Bound, unit: Unit) -> float:
    alike = likeness(scene.table, unit.lines, bound.bars, bound["statements"])
    return UNLIKE if alike < ALIKE else UNSURE


def _again(scene: Scene, bound: Bound, unit: Unit) -> bool:
    """Most of the claimed bars say the same again at the same height."""
    bars = bound.bars
    length = bars.end - bars.start
    return any(
        one.line in unit.lines
        and min(one.end, bars.end) - max(one.start, bars.start) >= 0.5 * length
        for one in repetitions(scene.table)
    )


def _few_moves(scene: Scene, bound: Bound, unit: Unit) -> tuple[Evidence, ...] | None:
    """The notes that make the claimed moves, where they are there but make no chain."""
    wanted = bound["chain"]
    if not wanted:
        return None
    s = stream(scene.table)
    for line in unit.lines:
        here = s.of(line, bound.bars.start, bound.bars.end)
        moves = s.move[here].tolist()[:-1]
        for k in range(len(moves) - len(wanted) + 1):
            if tuple(moves[k : k + len(wanted)]) == tuple(wanted):
                onsets = s.onset[here][k : k + len(wanted) + 1]
                rows = proof.attacked(scene.table, [line], bound.bars.start, bound.bars.end)
                return proof.notes(scene.table, rows[np.isin(rows["onset"], onsets)])
    return None


# --- denied, and others -------------------------------------------------------


def _deny(scene: Scene, bound: Bound) -> Judgement:
    table, bars = scene.table, bound.bars
    true: set[int] = set()
    sure = [0.0]
    shown: list[Evidence] = []
    for unit in bound.units:
        for fact in stated(scene, unit.lines, bound.movement):
            if not fact.whole or fact.within(bars) < 2:
                continue
            one = _held(scene, bound, unit, fact)
            if one.degree != "wrong":
                first, last = fact.bars(table)
                true |= set(range(first, last + 1))
                shown += one.evidence
                sure.append(fact.confidence)
    played = [
        e for u in bound.units
        for e in proof.playing_or_rests(table, u.lines, bars.first, bars.last)
    ]  # fmt: skip
    if not true & set(bars.indices):
        sure = [_sure_of_denial(scene, bound, unit) for unit in bound.units]
        return deny(scene, bound, (), (), evidence=tuple(played), confidence=min(sure), judged=True)
    return deny(
        scene, bound, true, tuple(shown), evidence=tuple(played), confidence=max(sure), judged=True
    )


def _sure_of_denial(scene: Scene, bound: Bound, unit: Unit) -> float:
    if not proof.bars_sounding(scene.table, unit.lines) & set(bound.bars.indices):
        return 1.0
    other = any(
        f.whole and f.within(bound.bars) > 1
        for f in stated(scene, unit.lines, bound.movement)
    )  # fmt: skip
    if other:
        return OTHER  # it is one, but not as said
    return AGAIN if _again(scene, bound, unit) else _sure_of_none(scene, bound, unit)


def _others(scene: Scene, bound: Bound) -> list[Sentence]:
    """Who has the same sequence at the same time: worth a note."""
    table = scene.table
    own = {line for unit in bound.units for line in unit.lines}
    mine = [f for f in stated(scene, own, bound.movement) if f.within(bound.bars)]
    rest = [line.index for line in table.lines if line.index not in own]
    also = [
        f.line
        for f in stated(scene, rest, bound.movement)
        if f.whole
        and any(
            f.step == m.step and f.period == m.period and abs(f.start - m.start) < m.period
            for m in mine
        )
    ]
    names = speech.line_names(table, dict.fromkeys(also))
    return [speech.say("claim.sequence.too", parts=names[:6])] if names else []


KIND = Kind(
    name="sequence",
    says="a model restated at another height",
    form=Form(
        (
            Field("statements", Whole(1, 99)),
            Field("step", Whole(-21, 21)),
            Field("chain", Many(Whole(-21, 21), least=1)),
            Field("breaks-at", PointField()),
        )
    ),
    judge=judge,
)
