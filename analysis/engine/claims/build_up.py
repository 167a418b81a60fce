"""Build-up: tension grows, by what rises together; denied, it is no build-up, or thins out.

Facts: `analyses.build_up_facts`. A claim is right at a Jaccard share of `SAME` of the bars and an
arrival within a bar, near at `AKIN` (contract, "Curves"); all of `by` must rise, none of `without`.
"""

from __future__ import annotations

from collections.abc import Sequence

from analysis.engine import places
from analysis.engine.analyses.build_up import START, leg_words, still_words, sure
from analysis.engine.analyses.build_up import evidence as swing_evidence
from analysis.engine.analyses.build_up_curves import LEGS
from analysis.engine.analyses.build_up_facts import Swing, risen, swings, turns_back
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bars, Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.facts import worst
from analysis.engine.claims.fields import JSON, Field, Form, Many, Word
from analysis.engine.claims.naming import place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.schema import Claim
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import Evidence, Sentence
from analysis.engine.sentences import register

register(
    {
        "claim.build-up.is": "It builds up in {bars} towards bar {goal}: {by}.",
        "claim.build-up.is.unsure": (
            "I read a build-up in {bars} towards bar {goal}, {by}, but not surely."
        ),
        "claim.build-up.thins": "It thins out in {bars}: {by}.",
        "claim.build-up.thins.unsure": "I read a thinning-out in {bars}, {by}, but not surely.",
        "claim.build-up.still": "But {what}.",
        "claim.build-up.back": "But there it is the other way round: {what}.",
        "claim.build-up.some": "What is said to rise there rises less than the rest: {legs}.",
        "claim.build-up.unprinted": (
            "No dynamics are printed there, so the file cannot tell the loudness."
        ),
        "claim.build-up.none": "I find no build-up by {legs} in {bars}.",
        "claim.build-up.stays": "It does not thin out there either.",
        "claim.build-up.level": "From the beginning to the end of these bars nothing of it grows.",
    }
)

#: shares of common bars, of all bars of claim and fact; the contract's
SAME, AKIN = 0.6, 0.3
#: bars by which the arrival may lie off
ARRIVAL = 1
#: how sure: what does not rise does not; nothing rises; it thins out; some of it rises, yet no
#: build-up is found
OTHER, LEVEL, THINS, UNSURE = 0.93, 0.92, 0.95, 0.6


def check(claim: Claim) -> None:
    both = set(claim["by"]) & set(claim["without"])
    if both:
        raise ClaimNotUnderstood(f"“{min(both)}” is said to rise and not to rise; which is it?")


def judge(scene: Scene, bound: Bound) -> Judgement:
    mine = [s for s in swings(scene.table, scene.settings, more=0) if _in_movement(bound, s)]
    mine = [s for s in mine if not _struck(scene, s)]
    up = [s for s in mine if s.way > 0]
    best = max(up, key=lambda s: _common(bound.bars, s), default=None)
    if best is not None and _common(bound.bars, best) < AKIN:
        best = None
    told = _tutor(scene, bound)
    if bound.claim.negated:
        return _deny(scene, bound, best, mine, told)
    if told is not None:
        return Judgement(judged=True, evidence=_all_notes(scene, bound), says=(told,))
    if best is None:
        return _none(scene, bound, up, mine)
    return _held(scene, bound, best)


def _in_movement(bound: Bound, swing: Swing) -> bool:
    return bound.movement.first_bar <= swing.first <= bound.movement.last_bar


def _common(bars: Bars, swing: Swing) -> float:
    """Jaccard share of the bars; the bar of the goal may be counted or not."""
    claimed = set(bars.indices)
    best = 0.0
    for last in (swing.goal - 1, swing.goal):
        own = set(range(swing.first, last + 1))
        best = max(best, len(claimed & own) / len(claimed | own))
    return best


def _place(bars: Bars, swing: Swing) -> Verdict:
    ends = min(abs(bars.last + 1 - swing.goal), abs(bars.last - swing.goal))
    if _common(bars, swing) >= SAME and ends <= ARRIVAL:
        return "right"
    return "near" if _common(bars, swing) >= AKIN else "wrong"


def _legs(scene: Scene, bound: Bound, swing: Swing) -> tuple[Verdict, list[str]]:
    """Whether all of `by` rise and none of `without`; and which do otherwise than said.

    One of three and more that stays is near; one that falls instead is not, and a denied one that
    rises is a counter-example.
    """
    verdicts: list[Verdict] = []
    odd: list[str] = []
    for names, rises, stays in (
        (bound["by"], swing.by, swing.without),
        (bound["without"], swing.without, swing.by),
    ):
        for name in names:
            if name in rises:
                verdicts.append("right")
                continue
            unknown = name not in swing.values
            verdicts.append("open" if unknown else "wrong" if name in stays else "near")
            odd.append(name)
    contrary = any(name in swing.by for name in bound["without"])
    contrary |= any(name in swing.without and turns_back(swing, name) for name in bound["by"])
    one = verdicts.count("wrong") == 1 and len(verdicts) >= 3 and not contrary
    if one and "open" not in verdicts:
        return "near", odd
    return worst(verdicts), odd


def _held(scene: Scene, bound: Bound, swing: Swing) -> Judgement:
    table = scene.table
    place = _place(bound.bars, swing)
    degree, odd = _legs(scene, bound, swing)
    says = [_say(scene, swing)]
    for name in (n for n in odd if n in swing.without):
        back = turns_back(swing, name)
        what = leg_words(name, *swing.values[name], -1) if back else still_words(name)
        says.append(speech.say(f"claim.build-up.{'back' if back else 'still'}", what=what))
    middling = [n for n in odd if n in swing.values and n not in (*swing.by, *swing.without)]
    if middling:
        says.append(speech.say("claim.build-up.some", legs=middling))
    if any(name not in swing.values for name in odd):
        says.append(speech.say("claim.build-up.unprinted"))
    shown = tuple(swing_evidence(table, swing))
    notes: list[Sentence] = []
    if place == "right":
        span = (swing.first, swing.goal - 1)
        notes += speech.place_note(table, span, bound.bars.first, bound.bars.last)
    return Judgement(
        place=place,
        degree=degree,
        confidence=max(sure(swing), OTHER) if degree == "wrong" else sure(swing),
        judged=True,
        evidence=shown,
        contrary=shown,
        says=tuple(says),
        notes=tuple(notes),
        truth=(_truth(scene, bound, swing, kept=True), _truth(scene, bound, swing, kept=False)),
    )


def _say(scene: Scene, swing: Swing) -> Sentence:
    table = scene.table
    words = [leg_words(name, *swing.values[name], swing.way) for name in swing.by]
    if swing.way < 0:
        bars = speech.bars(table, swing.first, swing.goal)
        return speech.say("claim.build-up.thins", bars=bars, by=words)
    return speech.say(
        "claim.build-up.is",
        bars=speech.bars(table, swing.first, swing.goal - 1),
        goal=places.label(table, swing.goal),
        by=words,
    )


def _truth(scene: Scene, bound: Bound, swing: Swing, *, kept: bool) -> JSON:
    """The build-up as it is; `kept`: with those of the claim's legs that are right."""
    by = [n for n in bound["by"] if n in swing.by] if kept else []
    without = [n for n in bound["without"] if n in swing.without] if kept else swing.without
    return {
        **bound.claim.as_json(),
        "bars": place_json(scene.table, swing.first, swing.goal - 1),
        "by": by or list(swing.by),
        "without": list(without),
        "negated": False,
    }


# --- none ---------------------------------------------------------------------


def _none(scene: Scene, bound: Bound, up: Sequence[Swing], mine: Sequence[Swing]) -> Judgement:
    """No build-up there: it thins out, or nothing of it grows; else the ear must say."""
    if scene.trial:
        return Judgement(relation="wrong")
    says, confidence = _why_not(scene, bound, mine)
    shown = _all_notes(scene, bound)
    near = sorted(up, key=lambda s: abs(s.first - bound.bars.first))
    truth = [_truth(scene, bound, swing, kept=False) for swing in near[:2]]
    return Judgement(
        relation="wrong",
        confidence=confidence,
        judged=True,
        contrary=shown,
        says=tuple(says),
        truth=(*truth, {**bound.claim.as_json(), "negated": True}),
    )


def _why_not(scene: Scene, bound: Bound, mine: Sequence[Swing]) -> tuple[list[Sentence], float]:
    bars = speech.bars(scene.table, bound.bars.first, bound.bars.last)
    says = [speech.say("claim.build-up.none", bars=bars, legs=list(bound["by"]))]
    down = [s for s in mine if s.way < 0 and _common(bound.bars, s) >= AKIN]
    if down:
        return [*says, _say(scene, down[0])], THINS
    grown = [risen(scene.table, name, bound.bars.first, bound.bars.last) for name in bound["by"]]
    known = [g for g in grown if g is not None]
    if known and not any(known):
        return [*says, speech.say("claim.build-up.level")], LEVEL
    if not known:
        says.append(speech.say("claim.build-up.unprinted"))
    return says, UNSURE


def _deny(
    scene: Scene,
    bound: Bound,
    best: Swing | None,
    mine: Sequence[Swing],
    told: Sentence | None,
) -> Judgement:
    """No build-up (by what is named). Where it thins out instead, by what is told."""
    shown = _all_notes(scene, bound)
    if told is not None:
        return deny(scene, bound, bound.bars.indices, shown, evidence=shown, judged=True)
    if best is not None and _legs(scene, bound, best)[0] in ("right", "near"):
        bars = set(range(best.first, best.goal))
        proof_of_it = tuple(swing_evidence(scene.table, best))
        found = deny(
            scene, bound, bars, proof_of_it, unclear=_place(bound.bars, best) != "right",
            evidence=shown, confidence=max(sure(best), START), judged=True,
        )  # fmt: skip
        truth = _truth(scene, bound, best, kept=False)
        return found.but(says=(*found.says, _say(scene, best)), truth=(truth, *found.truth))
    if best is not None:
        found = deny(scene, bound, (), (), evidence=shown, confidence=OTHER, judged=True)
        return found.but(says=(*found.says, _say(scene, best)))
    says, confidence = _why_not(scene, bound, mine)
    down = any(s.template.startswith("claim.build-up.thins") for s in says)
    notes = () if down else (speech.say("claim.build-up.stays"),)
    sure_of_it = confidence if confidence > UNSURE else scene.settings.min_confidence
    found = deny(
        scene, bound, (), (), evidence=shown, notes=notes, confidence=sure_of_it, judged=True
    )
    return found.but(says=tuple(says))


def _all_notes(scene: Scene, bound: Bound) -> tuple[Evidence, ...]:
    lines = range(len(scene.table.lines))
    rows = proof.rows_of(scene.table, lines, bound.bars.start, bound.bars.end)
    if len(rows):
        return proof.notes(scene.table, rows)
    return (proof.rests(scene.table, 0, bound.bars.first, bound.bars.last),)


def _struck(scene: Scene, swing: Swing) -> bool:
    return any(
        w.says != "added" and w.first <= swing.first and w.last >= swing.goal - 1
        for w in scene.tutor_on("build-up")
    )


def _tutor(scene: Scene, bound: Bound) -> Sentence | None:
    """The tutor's own build-up over (most of) these bars."""
    for word in scene.tutor_on("build-up"):
        if word.says == "absent" or word.value is None or word.value.get("negated"):
            continue
        own, claimed = set(range(word.first, word.last + 1)), set(bound.bars.indices)
        if len(own & claimed) / len(own | claimed) >= SAME:
            by = set(word.value.get("by") or ())
            if set(bound["by"]) <= by and not set(bound["without"]) & by:
                return word.sentence
    return None


RISING = Word(LEGS)

KIND = Kind(
    name="build-up",
    says="rising tension",
    form=Form(
        (
            Field("by", Many(RISING, least=1), required=True),
            Field("without", Many(RISING), default=()),
        ),
        parts=False,
    ),
    judge=judge,
    check=check,
    pitched=False,
)
