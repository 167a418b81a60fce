"""One claim against one reading of a score: the answer, with its flag and its reasons."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from analysis.engine.claims import bind, speech
from analysis.engine.claims.base import Bound, Flag, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.fields import JSON
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.claims.negation import reasoned
from analysis.engine.claims.overrules import Overruling, effective
from analysis.engine.claims.papers import Edition, find_editions
from analysis.engine.claims.readings import Found, find_reading
from analysis.engine.claims.registry import KINDS
from analysis.engine.claims.said_together import together
from analysis.engine.claims.schema import claim_id, read_claim
from analysis.engine.claims.verdict import flag_of
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.findings import written
from analysis.engine.model import Evidence, Finding, PartReading, ScoreTable, Sentence
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

#: Raised whenever an answer to the same claim could differ.
CHECKER_VERSION = "1.8"

register(
    {
        "claim.answer.agrees": "Yes:",
        "claim.answer.partly": "Nearly:",
        "claim.answer.conflicts": "Look again:",
        "claim.answer.ear": "For your tutor's ear:",
        "claim.answer.not-understood": "{text}",
        # Kept for answers stored when some kinds had no rule yet: sentences are rendered late.
        "claim.answer.unready": "Statements about {kind} are left to your tutor for now.",
        "claim.answer.free": "A thought in your own words: your tutor reads it.",
        "claim.answer.unconfirmed": (
            "{part} is not confirmed yet ({text}), so nothing is said about it."
        ),
        "claim.answer.unsure": "I am not sure enough to say.",
        "claim.answer.truth": "{text}",
    }
)


@dataclass(frozen=True)
class Answer:
    """What the checker says to one claim; see `as_dict` for its JSON."""

    id: str | int | None
    flag: Flag
    place: Verdict = "open"
    parts: Verdict = "open"
    relation: Verdict = "open"
    degree: Verdict = "open"
    cause: str | None = None
    says: tuple[Sentence, ...] = ()
    notes: tuple[Sentence, ...] = ()
    truth: JSON | None = None
    truth_says: tuple[Sentence, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    confidence: float = 0.0

    def as_dict(self, translate: Callable[[str], str] = str) -> JSON:
        """The answer in the contract's JSON, sentences in words."""
        return {
            "id": self.id,
            "flag": self.flag,
            "place": self.place,
            "parts": self.parts,
            "relation": self.relation,
            "degree": self.degree,
            "cause": self.cause,
            "truth": {
                "text": speech.text(self.truth_says, translate),
                "claim": self.truth,
            },
            "sentence": speech.text(self.says, translate),
            "note": speech.text(self.notes, translate),
            "evidence": [evidence_json(e) for e in self.evidence],
            "confidence": written(self.confidence),
        }

    def sentences(self) -> JSON:
        """Templates and parameters of all sentences, to be put into words later."""
        return {
            "sentence": speech.as_json(self.says),
            "note": speech.as_json(self.notes),
            "truth": speech.as_json(self.truth_says),
        }


def evidence_json(evidence: Evidence) -> JSON:
    if evidence.rests:
        return {"part": evidence.part, "bars": list(evidence.bars or ()), "rests": True}
    return {"ids": list(evidence.ids)}


def answer(
    claim: Any,
    table: ScoreTable,
    findings: Sequence[Finding],
    settings: Settings | None = None,
    *,
    overrules: Sequence[Overruling] = (),
    edition: Edition | None = None,
) -> Answer:
    """Check one claim.

    Parameters
    ----------
    claim : dict
        As it stands in the JSON. Whatever it is, an answer comes back: what is
        not understood goes to the tutor with a sentence, never an exception.
    table : ScoreTable
    findings : sequence of Finding
        The computed ones; the judged kinds (role, key) rest on them.
    settings : Settings
        Of the assignment; defaults are the contract's.
    overrules : sequence of Overruling
        The tutor's word, which replaces computed facts of all kinds.
    edition : Edition, optional
        How the student's bar numbers differ, as declared.

    Returns
    -------
    Answer

    Notes
    -----
    Deterministic; reads nothing but its arguments. Views built on the way are
    kept on the table, so that further claims are quick.
    """
    scene = make_scene(table, findings, settings, overrules, edition)
    return answer_in(scene, claim)


def make_scene(
    table: ScoreTable,
    findings: Sequence[Finding],
    settings: Settings | None = None,
    overrules: Sequence[Overruling] = (),
    edition: Edition | None = None,
) -> Scene:
    """What claims are held against; build it once for many claims."""
    words = tuple(overrules)
    known = tuple(effective(findings, words, table))
    return Scene(table, known, settings or Settings(), words, edition)


def answers(
    claims: Iterable[Any],
    table: ScoreTable,
    findings: Sequence[Finding],
    settings: Settings | None = None,
    *,
    overrules: Sequence[Overruling] = (),
    edition: Edition | None = None,
) -> list[Answer]:
    """Check several claims, in their order.

    Claims with equal ``paper`` belong to one student: where all of a paper fit
    another edition's bar numbers, they go to the tutor with that remark.
    """
    scene = make_scene(table, findings, settings, overrules, edition)
    raws = list(claims)
    found = [answer_in(scene, claim) for claim in raws]
    for n, said in find_editions(raws, scene).items():
        found[n] = replace(found[n], flag="ear", cause="edition", says=(said,))
    return found


def answer_in(scene: Scene, raw: Any) -> Answer:
    """Check one claim in a scene made before."""
    id_ = claim_id(raw)
    try:
        claim = read_claim(raw)
        kind = KINDS[claim.kind]
        if kind.judge is None:
            return free_answer(id_)
        bound = bind.bind(claim, kind, scene.table)
        doubt = bind.doubt_about(bound, kind, scene.table)
        if doubt is not None:
            return _unconfirmed(id_, doubt)
        return _judged(id_, kind, bound, scene)
    except ClaimNotUnderstood as question:
        return not_understood(id_, str(question))


def _unconfirmed(id_: str | int | None, part: PartReading) -> Answer:
    text = part.doubt.text if part.doubt else ""
    says = speech.say("claim.answer.unconfirmed", part=part.label, text=text)
    return Answer(id_, "ear", cause="unconfirmed-part", says=(says,))


def not_understood(id_: str | int | None, question: str) -> Answer:
    """A claim nobody can check yet: the question goes back."""
    says = (speech.say("claim.answer.not-understood", text=question),)
    return Answer(id_, "ear", cause="not-understood", says=says)


def free_answer(id_: str | int | None) -> Answer:
    """Free words are always the tutor's, also where there is no reading yet."""
    return Answer(id_, "ear", says=(speech.say("claim.answer.free"),))


def _judged(id_: str | int | None, kind: Kind, bound: Bound, scene: Scene) -> Answer:
    assert kind.judge is not None
    judgement = kind.judge(scene, bound)
    if bound.claim.negated:
        judgement = reasoned(kind, scene, bound, judgement)
    flag = flag_of(judgement, scene.settings)
    around = bind.doubt_around(bound, scene.table)
    if around is not None and not judgement.any_wrong:
        return _unconfirmed(id_, around)
    found = None
    if not judgement.all_right:
        found = find_reading(kind, bound, scene, judgement)
    if found is not None and found.flag == "agrees":
        return _answer(id_, kind, found.bound, scene, found.judgement, "agrees", found)
    flag = found.flag if found else flag
    if flag == "partly" and _octaves_decide(scene, bound, judgement, found):
        flag = "conflicts"
    return _answer(id_, kind, bound, scene, judgement, flag, found)


def _octaves_decide(scene: Scene, bound: Bound, judgement: Judgement, found: Found | None) -> bool:
    """Whether another number of octaves is wrong, by the tutor's wish, and there is proof of it."""
    if scene.settings.octaves_near or not judgement.contrary:
        return False
    if found is not None:
        return _octaves(found.bound) != _octaves(bound)
    counted = bound.claim.fields.get("octaves") is not None
    return judgement.cause == "octave-count" or (counted and judgement.degree == "near")


def _octaves(bound: Bound) -> tuple[Any, ...]:
    """The fields in which a reading puts another number of octaves."""
    return tuple(bound.claim.fields.get(name) for name in ("octaves", "levels", "pitch"))


def _answer(
    id_: str | int | None,
    kind: Kind,
    bound: Bound,
    scene: Scene,
    judgement: Judgement,
    flag: Flag,
    found: Found | None,
) -> Answer:
    truth = _truth(kind, bound, scene, judgement, found)
    says = [speech.say(f"claim.answer.{flag}")]
    if found is not None and flag != "agrees":
        says += found.say
    said = judgement.says or (speech.say("claim.answer.unsure"),)
    if flag == "ear" and not judgement.is_sure(scene.settings):
        said = _unsurely(judgement.says)
    says += said
    notes = [*bound.notes, *judgement.notes]
    if found is not None and flag == "agrees":
        notes += found.say
    notes += bind.name_notes(bound)
    shown = judgement.evidence
    if flag == "conflicts":
        shown = judgement.contrary or (found.judgement.contrary if found else ())
    elif flag == "partly":
        shown = tuple(dict.fromkeys((*judgement.evidence, *judgement.contrary)))
        if found is not None and not judgement.evidence:
            shown = tuple(dict.fromkeys((*found.judgement.evidence, *shown)))
    elif flag == "ear":
        shown = judgement.evidence or judgement.contrary
    confidence = judgement.confidence
    if found is not None:
        confidence = min(confidence, found.judgement.confidence) or confidence
    return Answer(
        id_,
        flag,
        *judgement.verdicts,
        cause=found.code if found else judgement.cause,
        says=together(says),
        notes=together(notes),
        truth=truth,
        truth_says=together(_truth_says(judgement, found)),
        evidence=shown,
        confidence=confidence,
    )


def _unsurely(says: Sequence[Sentence]) -> tuple[Sentence, ...]:
    """What was read, said as something that is not sure; never first said, then taken back."""
    told = tuple(s for s in map(speech.unsure, says) if s is not None)
    if len(told) == len(says) and told:
        return told
    return (speech.say("claim.answer.unsure"), *(speech.unsure(s) or s for s in says))


def _truth(
    kind: Kind, bound: Bound, scene: Scene, judgement: Judgement, found: Found | None
) -> JSON | None:
    """The first candidate that is itself right as it stands; so that, fed back, it agrees."""
    if judgement.all_right and found is None:
        sure = judgement.is_sure(scene.settings)
        return bound.claim.as_json() if sure else None
    candidates = list(judgement.truth)
    if judgement.all_right:
        candidates = [_as_taken(bound, scene)]
    if found is not None and found.bound is not bound:
        bars = place_json(scene.table, found.bound.bars.first, found.bound.bars.last)
        candidates.insert(0, {**found.bound.claim.as_json(), "bars": bars})
    for candidate in candidates:
        if agrees(candidate, scene):
            return candidate
    return None


def _as_taken(bound: Bound, scene: Scene) -> JSON:
    """The claim with the bars and parts a reading took it to mean."""
    bars = bound.bars
    value = {**bound.claim.as_json(), "bars": place_json(scene.table, bars.first, bars.last)}
    if bound.parts:
        value["parts"] = [part_json(scene.table, unit) for unit in bound.units]
    for field in ("with", "added", "left"):
        if value.get(field):
            value[field] = [part_json(scene.table, unit) for unit in bound.named_units(field)]
    return value


def agrees(candidate: Mapping[str, Any], scene: Scene) -> bool:
    """Whether a claim is right as it stands, no reading helping."""
    try:
        claim = read_claim(candidate)
        kind = KINDS[claim.kind]
        if kind.judge is None:
            return False
        bound = bind.bind(claim, kind, scene.table)
        judgement = kind.judge(replace(scene, trial=True), bound)
    except ClaimNotUnderstood:
        return False
    return flag_of(judgement, scene.settings) == "agrees"


def _truth_says(judgement: Judgement, found: Found | None) -> tuple[Sentence, ...]:
    if judgement.all_right:
        return judgement.says
    return judgement.says or (found.say if found else ())
