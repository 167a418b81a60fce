"""The route of the keys: those a passage settles in, in order; those it only touches may be named.

Rests on the findings of kind "key", joined to stretches by `analyses.key_route`. The claimed keys
are laid beside the stretches in order; a relative or parallel key is half a step right.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from analysis.engine.analyses.key_route import Stretch, stretches_of_findings
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import WHERE, Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.fields import Field, Form, KeyField, Many, YesNo
from analysis.engine.claims.key_route_alone import borne_out, lost
from analysis.engine.claims.key_route_heard import NOWHERE, heard, nowhere
from analysis.engine.claims.key_route_laid import (
    AKIN,
    Laid,
    align,
    joined,
    lay,
    must,
    touched_only,
    unpaired,
)
from analysis.engine.claims.negation import deny
from analysis.engine.claims.told import as_told
from analysis.engine.model import Evidence, Finding, Sentence
from analysis.engine.pitch import Key, parse_key
from analysis.engine.sentences import register

register(
    {
        "claim.route.is": "The keys in order: {keys}.",
        "claim.route.is.unsure": "I read the keys in order as {keys}, but not surely.",
        "claim.route.one": "It stays in {keys}.",
        "claim.route.one.unsure": "I read {keys} throughout, but not surely.",
        "claim.route.key": "{key} ({bars})",
        "claim.route.missing": "You leave out {keys}.",
        "claim.route.extra": "I find no {keys} there.",
        "claim.route.touched": "{parts} are touched only.",
        "claim.route.touched.one": "{parts} is touched only.",
        "claim.route.within": "{parts} are touched within {key}, without a stay.",
        "claim.route.within.one": "{parts} is touched within {key}, without a stay.",
        "claim.route.order": "These keys are there, but in another order or not so often.",
        "claim.route.none": "No key is settled in {bars}.",
        "claim.route.alone": (
            "Some of these bars, taken by themselves, speak for {parts} nearly as well."
        ),
        "claim.route.there": "{key} is reached in {bars}.",
    }
)

#: share of the steps that is right, and near (contract, "Steps")
RIGHT, NEAR = 0.9, 0.6


def judge(scene: Scene, bound: Bound) -> Judgement:
    wanted = joined(bound["keys"])
    told_so = as_told(scene, bound, lambda value: _same(wanted, value))
    if told_so is not None:
        return told_so
    here = _here(scene, bound)
    where = speech.bars(scene.table, bound.bars.first, bound.bars.last)
    if not any(s.settled for s in here):
        said = speech.say("claim.route.none", bars=where)
        return Judgement(relation="open", judged=True, confidence=0.0, says=(said,))
    if bound.claim.negated:
        return _deny(scene, bound, wanted, here)
    laid = lay(wanted, here, bound.bars, touched=bound["touched"])
    if laid.share < RIGHT or not _firm(scene, laid):
        again = _here(scene, bound, cadences=True)
        second = lay(wanted, again, bound.bars, touched=bound["touched"])
        if (second.share, _weakest(second)) > (laid.share, _weakest(laid)):
            here, laid = again, second
    passing = _passing(scene, bound, wanted) if bound["touched"] else None
    if passing is not None and laid.share < RIGHT:
        return _touched(bound, wanted, here, passing)
    degree: Verdict = "right" if laid.share >= RIGHT else "near" if laid.share >= NEAR else "wrong"
    touched = touched_only(wanted, _brief(scene, bound, here), laid)
    cause = None
    if degree != "right":
        cause = "tonicisation" if touched else _akin_cause(wanted, laid)
    alone = degree == "wrong" and not scene.trial and not borne_out(scene, bound, wanted, laid)
    open_ = degree == "wrong" and (bool(touched) or alone)
    confidence = _confidence(scene, bound, wanted, laid, degree)
    says = _says(scene, bound, wanted, laid, touched)
    # sure of the "no", not of the route; or not of the "no"
    if alone or (confidence == NOWHERE and not _firm(scene, laid)):
        says[0] = speech.unsure(says[0]) or says[0]
    there = {s.key.sound for s in laid.keys}
    gone = [k.words for k in lost(wanted, laid) if k.sound not in there]
    if alone and gone and not touched:
        says.append(speech.say("claim.route.alone", parts=list(dict.fromkeys(gone))))
    shown = _notes(s for _, k, w in laid.pairs if w == 1.0 for s in (laid.keys[k],))
    all_notes = _everything(scene, bound)
    return Judgement(
        relation="open" if open_ else "right",
        degree=degree,
        confidence=confidence,
        judged=True,
        evidence=shown or all_notes,
        contrary=_notes(unpaired(laid)) or _notes(laid.keys) or all_notes,
        says=tuple(says),
        truth=tuple(_truths(bound, here)),
        cause=cause,
    )


def _same(wanted: Sequence[Key], value: Mapping[str, Any]) -> bool:
    keys = joined([parse_key(str(k)) for k in value.get("keys", ())])
    return [k.sound for k in keys] == [k.sound for k in wanted]


# --- the two routes -----------------------------------------------------------


def _here(scene: Scene, bound: Bound, *, cadences: bool = False) -> list[Stretch]:
    """Stretches of one key that reach into the claimed bars; `cadences`: by the second hearing."""
    found = scene.of_kind("key", bound.movement.index)
    bars = bound.bars
    every = heard(found) if cadences else stretches_of_findings(found)
    return [s for s in every if s.first <= bars.last and s.last >= bars.first]


def _brief(scene: Scene, bound: Bound, here: Sequence[Stretch]) -> frozenset[object]:
    """Keys that do not settle in the claimed bars, and those touched there by their dominants."""
    first, last = bound.bars.first, bound.bars.last
    found = [
        f
        for f in scene.of_kind("key-route", bound.movement.index)
        if f.sentence.template.startswith("tonicisation") and f.first <= last and f.last >= first
    ]
    named = {parse_key(str(name)).sound for f in found for name in f.value["keys"]}
    return frozenset(named | {s.key.sound for s in here if not s.settled})


def _akin_cause(wanted: Sequence[Key], laid: Laid) -> str | None:
    """Where every step that is not right names the relative (or parallel) key: that is why."""
    half = [(wanted[n], laid.keys[k].key) for n, k, worth in laid.pairs if worth == AKIN]
    if not half or len(laid.pairs) < laid.steps:
        return None
    relative = all(a.sound == b.relative.sound for a, b in half)
    return "relative-key" if relative else "parallel-key"


def _nowhere(scene: Scene, bound: Bound, wanted: Sequence[Key]) -> bool:
    """Whether no stretch of the bars speaks for any of the claimed keys, and nobody reads one."""
    read = {s.key.sound for s in _here(scene, bound)}
    gone = nowhere(scene.table, bound.bars, wanted)
    return len(gone) == len(wanted) and not any(k.sound in read for k in wanted)


def _weakest(laid: Laid) -> float:
    return min((s.confidence for s in laid.keys), default=0.0)


def _firm(scene: Scene, laid: Laid) -> bool:
    return _weakest(laid) >= scene.settings.min_confidence


def _confidence(
    scene: Scene, bound: Bound, wanted: Sequence[Key], laid: Laid, degree: Verdict
) -> float:
    """A route is as sure as the least sure of its keys; a denial as the surest that speaks.

    Where none of the claimed keys sounds anywhere, it is sure.
    """
    if degree != "wrong":
        return _weakest(laid)
    if not scene.trial and _nowhere(scene, bound, wanted):
        return NOWHERE
    extra = len(wanted) > len(laid.pairs)
    against = [s.confidence for s in unpaired(laid)]
    if extra or not against:
        against.append(min((s.confidence for s in laid.keys), default=0.0))
    return max(against)


# --- what is touched ----------------------------------------------------------


def _passing(scene: Scene, bound: Bound, wanted: Sequence[Key]) -> Finding | None:
    """Keys touched one after another, among them the claimed ones in order, in these bars."""
    bars, whole = bound.bars, (bound.movement.first_bar, bound.movement.last_bar)
    for found in scene.of_kind("key-route", bound.movement.index):
        inside = min(found.last, bars.last) - max(found.first, bars.first) + 1
        if (found.first, found.last) == whole or 2 * inside < len(bars):
            continue
        keys = iter(parse_key(str(k)).sound for k in found.value.get("keys", ()))
        if all(key.sound in keys for key in wanted):
            return found
    return None


def _touched(
    bound: Bound, wanted: Sequence[Key], here: Sequence[Stretch], found: Finding
) -> Judgement:
    """Right, since touched keys may be named; the note tells that nothing stays in them."""
    home = next((s for s in here if s.first <= found.first <= s.last), here[0])
    names = list(dict.fromkeys(k.words for k in wanted))
    return Judgement(
        confidence=found.confidence,
        judged=True,
        evidence=found.evidence,
        contrary=found.evidence,
        says=(speech.say("claim.route.within", parts=names, key=home.key.words),),
        truth=tuple(_truths(bound, here)),
    )


# --- denials ------------------------------------------------------------------


def _deny(scene: Scene, bound: Bound, wanted: Sequence[Key], here: Sequence[Stretch]) -> Judgement:
    """ "It does not pass through G": the keys, in order, are nowhere in the claimed bars."""
    keys = [s for s in here if bound["touched"] or s.settled]
    laid = align(wanted, keys)
    hits = [keys[k] for _, k, worth in laid.pairs if worth == 1.0]
    there = len(hits) == len(wanted)
    bars = bound.bars
    true = {
        b for s in (hits if there else ()) for b in range(s.first, s.last + 1) if b in bars.indices
    }
    passing = _passing(scene, bound, wanted) if bound["touched"] and not there else None
    if passing is not None:  # touched in passing: whether that is "passing through" is the ear's
        true = set(range(max(passing.first, bars.first), min(passing.last, bars.last) + 1))
    clear = all(s.settled for s in hits) and passing is None
    confidence = min(s.confidence for s in (hits if there else here))
    said = _route(scene, bound, [s for s in here if s.settled])
    if not true and confidence < NOWHERE and _nowhere(scene, bound, wanted):
        if confidence < scene.settings.min_confidence:
            said = speech.unsure(said) or said
        confidence = NOWHERE
    found = deny(
        scene,
        bound,
        true,
        _notes(hits) or _everything(scene, bound),
        unclear=bool(true) and not clear,
        evidence=_notes(keys) or _everything(scene, bound),
        confidence=confidence,
        judged=True,
    )
    doubted = found.all_right and not borne_out(scene, bound, wanted, laid)
    told = (*found.says, said)
    if doubted:
        return found.but(relation="open", says=tuple(speech.unsure(s) or s for s in told))
    return found.but(says=told)


# --- evidence, words, truth ---------------------------------------------------


def _notes(stretches: Any) -> tuple[Evidence, ...]:
    return tuple(Evidence(ids=s.evidence) for s in stretches if s.evidence)


def _everything(scene: Scene, bound: Bound) -> tuple[Evidence, ...]:
    return proof.notes_or_rests(scene.table, range(len(scene.table.lines)), bound.bars)


def _says(
    scene: Scene, bound: Bound, wanted: Sequence[Key], laid: Laid, touched: Sequence[Key]
) -> list[Sentence]:
    says = [_route(scene, bound, laid.keys)]
    if laid.share >= 1.0:
        return says
    missing = [s.key.words for s in unpaired(laid)]
    paired = {n for n, _, worth in laid.pairs if worth == 1.0}
    extra = [k.words for n, k in enumerate(wanted) if n not in paired]
    there = {s.key.words for s in laid.keys}
    if extra and set(extra) <= there and not set(missing) - {k.words for k in wanted}:
        return [*says, speech.say("claim.route.order")]
    if missing and (gone := [k for k in missing if k not in {w.words for w in wanted}]):
        says.append(speech.say("claim.route.missing", keys=list(dict.fromkeys(gone))))
    brief = [k.words for k in touched]
    nowhere = [k for k in dict.fromkeys(extra) if k not in there and k not in brief]
    if nowhere:
        says.append(speech.say("claim.route.extra", keys=nowhere))
    if brief:
        says.append(speech.say("claim.route.touched", parts=list(dict.fromkeys(brief))))
    return says


def _route(scene: Scene, bound: Bound, keys: Sequence[Stretch]) -> Sentence:
    """ "The keys in order: C major (bars 1-8), G major (bars 9-20)"."""
    bars = bound.bars
    if len({s.key.sound for s in keys}) == 1:
        return speech.say("claim.route.one", keys=[keys[0].key.words])
    said = [
        speech.phrase(
            "claim.route.key",
            key=s.key.words,
            bars=speech.bars(scene.table, max(s.first, bars.first), min(s.last, bars.last)),
        )
        for s in keys
    ]
    return speech.say("claim.route.is", keys=said)


def _truths(bound: Bound, here: Sequence[Stretch]) -> list[dict[str, Any]]:
    base, bars = bound.claim.as_json(), bound.bars
    keys = joined([s.key for k, s in enumerate(here) if must(bars, here, k)])
    found = [{**base, "keys": [k.name for k in keys]}] if keys else []
    return [*found, {**base, "negated": not bound.claim.negated}]


KIND = Kind(
    name="key-route",
    says="the keys passed through",
    form=Form(
        (
            Field("keys", Many(KeyField(), least=1), required=True),
            Field("touched", YesNo(), default=True),
        ),
        parts=False,
    ),
    judge=judge,
    readings=WHERE,
)
