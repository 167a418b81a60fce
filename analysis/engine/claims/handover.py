"""Handover: a line passes from one part to another. Facts: `analyses.handover_facts`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from analysis.engine import names, places
from analysis.engine.analyses.handover_facts import Handover, handovers
from analysis.engine.analyses.phrases import notes_of
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import moments, speech
from analysis.engine.claims.base import Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.fields import JSON, Field, Form, PartField, PointField
from analysis.engine.claims.handover_none import instead
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.occurrences import place_verdict
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import Evidence, Sentence
from analysis.engine.names import Unit
from analysis.engine.sentences import register

register(
    {
        "claim.handover.is": "{giver} hands the line to {taker} at {where}.",
        "claim.handover.is.unsure": (
            "I read the line as handed from {giver} to {taker} at {where}, but not surely."
        ),
        "claim.handover.answer": (
            "{giver} ends and {taker} answers with the same figure at {where}."
        ),
        "claim.handover.answer.unsure": (
            "I read an answer of {taker} to {giver} at {where}, but not surely."
        ),
        "claim.handover.beneath": (
            "{taker} takes the line over at {where}; {giver} goes on beneath."
        ),
        "claim.handover.beneath.unsure": (
            "I read the line as taken over from {giver} by {taker} at {where}, but not surely."
        ),
        "claim.handover.overlap": "For a moment both have it.",
        "claim.handover.gap": "There is a breath between them.",
        "claim.handover.with": "{parts} go along.",
        "claim.handover.with.one": "{parts} goes along.",
        "claim.handover.turned": "It goes the other way.",
        "claim.handover.same": "They are one and the same line.",
    }
)

#: bars of evidence on either side of the seam
SHOWN = 2


@dataclass(frozen=True)
class Match:
    """A handover near the claimed place, and how the claim's parts fit it."""

    fact: Handover
    place: Verdict
    giver: bool  # the claimed giver gives
    taker: bool
    turned: bool = False  # the claimed giver takes, the claimed taker gives

    @property
    def fits(self) -> bool:
        return self.giver and self.taker

    @property
    def cost(self) -> tuple[bool, int, bool, float]:
        place = {"right": 0, "near": 1, "open": 2, "wrong": 3}[self.place]
        return not self.fits, place, not self.turned, -self.fact.confidence


def judge(scene: Scene, bound: Bound) -> Judgement:
    giving = [i for u in bound.named_units("from") for i in u.lines]
    taking = [i for u in bound.named_units("to") for i in u.lines]
    if set(giving) & set(taking):
        return Judgement(relation="open", says=(speech.say("claim.handover.same"),))
    matches = sorted(_matches(scene, bound, set(giving), set(taking)), key=lambda m: m.cost)
    here = [m for m in matches if m.place != "wrong"]
    told = _tutor(scene, bound, giving, taking)
    if bound.claim.negated:
        return _deny(scene, bound, [m for m in here if m.fits], told)
    if told is not None:
        return Judgement(judged=True, evidence=_both(scene, bound), says=(told,))
    if here and here[0].fits:
        return _held(scene, bound, here[0])
    return _not_so(scene, bound, here, [m for m in matches if m.fits])


def _matches(scene: Scene, bound: Bound, giving: set[int], taking: set[int]) -> list[Match]:
    found = []
    for one in handovers(scene.table, scene.settings):
        bar = places.bar_at(scene.table, one.at)
        if not bound.movement.first_bar <= bar <= bound.movement.last_bar:
            continue
        if _struck(scene, one):
            continue
        gives, takes = bool(giving & set(one.giving)), bool(taking & set(one.taking))
        turned = bool(giving & set(one.taking)) and bool(taking & set(one.giving))
        if gives or takes or turned:
            found.append(Match(one, _place(scene, bound, one), gives, takes, turned))
    return found


def _place(scene: Scene, bound: Bound, one: Handover) -> Verdict:
    """By the moment claimed, else by the claimed bars; the end of the giver counts too."""
    table = scene.table
    if (point := bound["at"]) is not None:
        claimed = moments.moment(table, bound, point)
        return moments.verdict(table, claimed, one.at)
    first = places.bar_at(table, min(one.at, max(one.left.end - 1, 0)))
    last = places.bar_at(table, one.at)
    spans = [(last, last)] if first < bound.bars.first or first > last else [(first, last)]
    return place_verdict(spans, bound.bars, scene.settings)


def _held(scene: Scene, bound: Bound, match: Match) -> Judgement:
    one = match.fact
    shown = _evidence(scene, one)
    return Judgement(
        place=match.place,
        confidence=one.confidence,
        judged=True,
        evidence=shown,
        contrary=shown,
        says=_says(scene, bound, one),
        notes=_notes(scene, bound, one),
        truth=(_truth(scene, bound, one),),
    )


def _not_so(
    scene: Scene, bound: Bound, here: Sequence[Match], elsewhere: Sequence[Match]
) -> Judgement:
    """No such handover there: who has it instead, or where it is; what the two parts do."""
    if scene.trial:
        return Judgement(relation="wrong")
    none = instead(scene, bound)
    truth: list[JSON] = [_truth(scene, bound, m.fact) for m in (*here[:2], *elsewhere[:2])]
    truth.append({**bound.claim.as_json(), "negated": True})
    if here:
        match = here[0]
        says = [*none.says, *_says(scene, bound, match.fact)]
        if match.turned:
            says.insert(0, speech.say("claim.handover.turned"))
        return Judgement(
            place="right",
            parts="wrong",
            confidence=max(none.confidence, match.fact.confidence),
            judged=True,
            contrary=(*none.evidence, *_evidence(scene, match.fact)),
            says=tuple(says),
            truth=tuple(truth),
        )
    says = list(none.says)
    for match in elsewhere[:1]:
        says += _says(scene, bound, match.fact)
    return Judgement(
        place="wrong" if elsewhere else "right",
        relation="right" if elsewhere else "wrong",
        confidence=none.confidence,
        judged=True,
        contrary=none.evidence,
        says=tuple(says),
        truth=tuple(truth),
    )


def _deny(scene: Scene, bound: Bound, here: Sequence[Match], told: Sentence | None) -> Judgement:
    shown = _both(scene, bound)
    if told is not None:
        return deny(scene, bound, bound.bars.indices, shown, evidence=shown, judged=True)
    right = [m for m in here if m.place == "right"]
    if right:
        one = right[0].fact
        bar = places.bar_at(scene.table, one.at)
        found = deny(
            scene, bound, {min(max(bar, bound.bars.first), bound.bars.last)},
            _evidence(scene, one), evidence=shown, confidence=one.confidence, judged=True,
        )  # fmt: skip
        truth = _truth(scene, bound, one)
        return found.but(says=(*found.says, *_says(scene, bound, one)), truth=(truth,))
    none = instead(scene, bound)
    found = deny(scene, bound, (), (), evidence=shown, confidence=none.confidence, judged=True)
    return found.but(says=(*found.says, *none.says))


# --- words and proof ----------------------------------------------------------


def _says(scene: Scene, bound: Bound, one: Handover) -> tuple[Sentence, ...]:
    table = scene.table
    params = {
        "giver": _called(scene, bound, one.giving),
        "taker": _called(scene, bound, one.taking),
        "where": moments.words(table, one.at),
    }
    if one.beneath:
        return (speech.say("claim.handover.beneath", **params),)
    answer = bool(one.alike)
    says = [speech.say("claim.handover.answer" if answer else "claim.handover.is", **params)]
    if one.gap < 0:
        says.append(speech.say("claim.handover.overlap"))
    elif one.gap > table.bars[places.bar_at(table, one.at)].beat_ticks // 2 and not answer:
        says.append(speech.say("claim.handover.gap"))
    return tuple(says)


def _called(scene: Scene, bound: Bound, lines: Sequence[int]) -> str:
    """The claimed part among the lines, else the leading line."""
    for unit in (*bound.named_units("from"), *bound.named_units("to")):
        if set(unit.lines) & set(lines):
            return unit.label
    return scene.table.lines[lines[0]].name


def _notes(scene: Scene, bound: Bound, one: Handover) -> tuple[Sentence, ...]:
    own = {i for u in (*bound.named_units("from"), *bound.named_units("to")) for i in u.lines}
    others = [i for i in (*one.giving, *one.taking) if i not in own]
    if not others:
        return ()
    return (speech.say("claim.handover.with", parts=speech.line_names(scene.table, others)[:6]),)


def _evidence(scene: Scene, one: Handover) -> tuple[Evidence, ...]:
    """The end of the giver's phrase and the beginning of the taker's."""
    table = scene.table
    bar = places.bar_at(table, one.at)
    before = table.bars[max(bar - SHOWN, 0)].start
    after = table.bars[min(bar + SHOWN, len(table.bars) - 1)].end
    ends = notes_of(table, one.left, before, one.end + 1)
    begins = notes_of(table, one.right, one.at, max(after, one.at + 1))
    return tuple(Evidence(ids=tuple(ids)) for ids in (ends, begins) if ids)


def _both(scene: Scene, bound: Bound) -> tuple[Evidence, ...]:
    return tuple(
        e
        for u in (*bound.named_units("from"), *bound.named_units("to"))
        for e in proof.playing_or_rests(scene.table, u.lines, bound.bars.first, bound.bars.last)
    )


def _truth(scene: Scene, bound: Bound, one: Handover) -> JSON:
    table = scene.table
    bar = places.bar_at(table, one.at)
    parts = []
    for lines in (one.giving, one.taking):
        line = table.lines[lines[0]]
        unit = Unit(line.part, (line.index,), line.name)
        for claimed in (*bound.named_units("from"), *bound.named_units("to")):
            if set(claimed.lines) & set(lines):
                unit = claimed
                break
        parts.append(part_json(table, unit))
    return {
        **bound.claim.as_json(),
        "bars": place_json(table, bar, bar),
        "from": parts[0],
        "to": parts[1],
        "at": places.point_of(table, one.at),
        "negated": False,
    }


# --- the tutor's word ---------------------------------------------------------


def _struck(scene: Scene, one: Handover) -> bool:
    bar = places.bar_at(scene.table, one.at)
    lines = {one.giving[0], one.taking[0]}
    return any(
        w.says != "added" and w.covers(bar) and lines <= set(w.lines)
        for w in scene.tutor_on("handover")
    )


def _tutor(
    scene: Scene, bound: Bound, giving: Sequence[int], taking: Sequence[int]
) -> Sentence | None:
    """The tutor's own handover from the one to the other that meets the claimed bars."""
    for word in scene.tutor_on("handover"):
        meets = word.first <= bound.bars.last and word.last >= bound.bars.first
        if word.says == "absent" or not meets or word.value is None:
            continue
        both = {*giving} & set(word.lines) and {*taking} & set(word.lines)
        if both and _first_named(scene, bound, word.value, giving):
            return word.sentence
    return None


def _first_named(
    scene: Scene, bound: Bound, value: Mapping[str, Any], giving: Sequence[int]
) -> bool:
    """Whether the tutor's `from` is the claimed giver, not the taker."""
    try:
        part = PartField().read(value.get("from"), "from")
        named = names.resolve(part, scene.table, bound.movement.index)
    except ClaimNotUnderstood:
        return False
    return bool(set(named.lines) & set(giving))


KIND = Kind(
    name="handover",
    says="a line that passes on",
    form=Form(
        (
            Field("from", PartField(), required=True),
            Field("to", PartField(), required=True),
            Field("at", PointField()),
        ),
        parts=False,
    ),
    judge=judge,
    part_fields=("from", "to"),
)
