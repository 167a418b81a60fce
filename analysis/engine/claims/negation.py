"""Denied claims: right if the fact holds in no claimed bar, wrong in one clear run."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Kind, Scene
from analysis.engine.claims.naming import place_json
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import Evidence, Sentence
from analysis.engine.sentences import register

register(
    {
        "claim.negated.right": "It is so nowhere in {bars}.",
        "claim.negated.right.unsure": "I find it nowhere in {bars}, but not surely.",
        "claim.negated.wrong": "There is an exception: {bars}.",
        "claim.negated.wrong.unsure": "There may be an exception: {bars}.",
        "claim.negated.some": "It is so in {bars}, though not clearly.",
    }
)


def reasoned(kind: Kind, scene: Scene, bound: Bound, denial: Judgement) -> Judgement:
    """A judged denial with its why: what there is instead, or the fact of the counter-example.

    The claim is asked again without its "not": of all its bars where the denial holds, of the
    exception's bars where it does not; what is said then is the reason.
    """
    assert kind.judge is not None
    if len(denial.says) > 1:
        return denial  # the rule has told it itself
    asked = replace(bound, claim=replace(bound.claim, negated=False), notes=())
    if not denial.all_right:
        if denial.exception is None:
            return denial
        asked = asked.at(scene.table, *denial.exception)
    try:
        found = kind.judge(scene, asked)
    except ClaimNotUnderstood:
        return denial
    if denial.all_right is found.all_right:
        return denial  # the rule takes both as true: its own words stand alone
    return denial.but(says=(*denial.says, *found.says))


def deny(
    scene: Scene,
    bound: Bound,
    true: Iterable[int],
    counter: tuple[Evidence, ...],
    *,
    unclear: bool = False,
    evidence: tuple[Evidence, ...] = (),
    notes: tuple[Sentence, ...] = (),
    confidence: float = 1.0,
    judged: bool = False,
) -> Judgement:
    """Judge a denied claim by the bars in which the fact holds.

    Parameters
    ----------
    true
        Bars in which what is denied is true.
    counter
        Evidence of it, the counter-example.
    unclear
        The fact is there, but not in a clear run (a single dip, a share only).
    """
    bars = bound.bars
    inside = [bar for bar in true if bars.first <= bar <= bars.last]
    if not inside:
        return Judgement(
            confidence=confidence,
            judged=judged,
            evidence=evidence,
            says=(
                speech.say(
                    "claim.negated.right", bars=speech.bars(scene.table, bars.first, bars.last)
                ),
            ),
            notes=notes,
        )
    from analysis.engine.claims.facts import stretch

    run = stretch(inside, bars) or (inside[0], inside[-1])
    where = speech.bars(scene.table, *run)
    truth = bound.claim.as_json()
    truth |= {"negated": False, "bars": place_json(scene.table, *run)}
    return Judgement(
        relation="open" if unclear else "wrong",
        confidence=confidence,
        judged=judged,
        contrary=counter,
        says=(speech.say("claim.negated.some" if unclear else "claim.negated.wrong", bars=where),),
        notes=notes,
        truth=(truth,),
        hits=len(set(inside)),
        exception=run,
    )
