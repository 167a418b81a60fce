"""Local key: a region that holds, or an arrival. Rests on the findings of kind "key"."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.facts import place_verdict, stretch
from analysis.engine.claims.fields import Field, Form, KeyField, Word
from analysis.engine.claims.key_alone import fits_as_well, never_near
from analysis.engine.claims.naming import place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.occurrences import nearest
from analysis.engine.claims.occurrences import place_verdict as occurs
from analysis.engine.errors import EngineError
from analysis.engine.model import Evidence, Finding, Sentence
from analysis.engine.pitch import Key, parse_key
from analysis.engine.sentences import register

register(
    {
        "claim.key.region": "In {bars} I read {key}.",
        "claim.key.region.unsure": "In {bars} I read {key}, but not surely.",
        "claim.key.arrives": "{key} is reached in {bars}.",
        "claim.key.arrives.unsure": "I read an arrival of {key} in {bars}, but not surely.",
        "claim.key.not": "I find no arrival of {key} there.",
        "claim.key.none": "No key was found in these bars.",
        "claim.key.alone": "The notes of these bars by themselves fit {key} no worse.",
        "claim.key.meant": "Some of these bars, taken by themselves, fit {key} nearly as well.",
        "claim.key.spelling": "Taken as {key}, which sounds the same.",
    }
)

#: the setting below which a region goes to the tutor's ear; arrivals and denials: the general one
LEAST = "key_confidence"
#: bars before a cadence that lead to it
CADENCE = 3


def judge(scene: Scene, bound: Bound) -> Judgement:
    found = [(f, k) for f in scene.of_kind("key", bound.movement.index) if (k := _key_of(f))]
    wanted: Key = bound["key"]
    if bound["how"] == "arrives":
        return _arrives(scene, bound, found, wanted)
    return _region(scene, bound, found, wanted)


def _key_of(finding: Finding) -> Key | None:
    return _named(str(finding.value.get("key")))


@cache
def _named(words: str) -> Key | None:
    """Keys of findings are few: their names are read once."""
    try:
        return parse_key(words)
    except EngineError:
        return None


def _region(
    scene: Scene, bound: Bound, found: Sequence[tuple[Finding, Key]], wanted: Key
) -> Judgement:
    table, bars = scene.table, bound.bars
    regions = [(f, k) for f, k in found if f.value.get("how") == "region"]
    here = [(f, k) for f, k in regions if f.first <= bars.last and f.last >= bars.first]
    if not here:
        return Judgement(
            relation="open", judged=True, confidence=0.0, says=(speech.say("claim.key.none"),)
        )
    own = [(f, k) for f, k in regions if k.sound == wanted.sound]
    true = frozenset(b for f, _ in own for b in range(f.first, f.last + 1))
    shown = _evidence(f for f, k in here if k.sound == wanted.sound)
    others = [(f, k) for f, k in here if k.sound != wanted.sound]
    contrary = _evidence(f for f, _ in others)
    place = place_verdict(true, bars, scene.settings)
    degree: Verdict = "right"
    if not true & set(bars.indices):
        place, degree = "right", "wrong"
    right = place == degree == "right"
    firm = [(f, k) for f, k in found if f.value.get("how") == "arrives"]
    confidence = _confidence(bound, own if right else here, firm)
    alone = "wrong" in (place, degree) and _alone(scene, bound, others, wanted)
    if bound.claim.negated:
        inside = true & set(bars.indices)
        denied = deny(
            scene,
            bound,
            inside,
            shown or _all_notes(scene, bound),
            evidence=contrary or _all_notes(scene, bound),
            confidence=_confidence(bound, here, firm),
            judged=True,
        )
        return denied.but(relation="open") if alone and denied.all_right else denied
    says = [
        speech.say(
            "claim.key.region",
            bars=speech.bars(table, max(f.first, bars.first), min(f.last, bars.last)),
            key=k.words,
        )
        for f, k in here[:4]
    ]
    if alone:
        says.append(speech.say("claim.key.alone", key=wanted.words))
    base = bound.claim.as_json()
    truths = []
    if run := stretch(true & set(bars.indices), bars):
        truths.append({**base, "bars": place_json(table, *run)})
    for f, k in here:
        part = (max(f.first, bars.first), min(f.last, bars.last))
        truths.append({**base, "key": k.name, "bars": place_json(table, *part)})
    notes: list[Sentence] = []
    if right:
        notes += speech.place_note(table, stretch(true, bars), bars.first, bars.last)
        notes += _spelling(wanted, [k for _, k in own])
    return Judgement(
        place=place,
        relation="open" if alone else "right",
        degree=degree,
        confidence=confidence,
        judged=True,
        least=LEAST,
        evidence=shown or _all_notes(scene, bound),
        contrary=contrary or _all_notes(scene, bound),
        says=(*says, *_tutor(scene, bound)),
        notes=tuple(notes),
        truth=tuple(truths),
    )


def _alone(scene: Scene, bound: Bound, others: Sequence[tuple[Finding, Key]], wanted: Key) -> bool:
    """Whether the notes of the claimed bars alone speak for the claimed key; not against the tutor.

    Only a computed key may be doubted so: a word of the tutor has the confidence 1.
    """
    bars = bound.bars
    if any(f.confidence >= 1.0 for f, _ in others):
        return False
    spans = [(k, max(f.first, bars.first), min(f.last, bars.last)) for f, k in others]
    return fits_as_well(scene.table, wanted, spans)


def _meant(scene: Scene, bound: Bound, regions: Sequence[tuple[Finding, Key]], wanted: Key) -> bool:
    """Whether some of the claimed bars alone speak for an arrival of the key; as in `_alone`."""
    bars = bound.bars
    if scene.trial or any(f.confidence >= 1.0 for f, k in regions if k.sound != wanted.sound):
        return False
    return not never_near(scene.table, bars.first, bars.last, [wanted])


def _arrives(
    scene: Scene, bound: Bound, found: Sequence[tuple[Finding, Key]], wanted: Key
) -> Judgement:
    table, bars = scene.table, bound.bars
    arrivals = [(f, k) for f, k in found if f.value.get("how") == "arrives"]
    own = [f for f, k in arrivals if k.sound == wanted.sound]
    spans = [(f.first, f.last) for f in own]
    place = occurs(spans, bars, scene.settings)
    hits = [f for f in own if f.first <= bars.last and f.last >= bars.first]
    regions = [
        (f, k)
        for f, k in found
        if f.value.get("how") == "region" and f.first <= bars.last and f.last >= bars.first
    ]
    if bound.claim.negated:
        inside = [b for f in hits for b in range(f.first, f.last + 1)]
        sure = max((f.confidence for f in hits), default=_confidence(bound, regions))
        return deny(
            scene,
            bound,
            inside,
            _evidence(hits),
            evidence=_evidence(f for f, _ in regions),
            confidence=sure,
            judged=True,
        )
    degree: Verdict = "right"
    if not own:
        place, degree = "right", "wrong"
    where = nearest(spans, bars)
    if where is not None:
        best = max((f for f in own if (f.first, f.last) == where), key=lambda f: f.confidence)
        confidence = max((f.confidence for f in hits), default=best.confidence)
        says = [speech.say("claim.key.arrives", key=wanted.words, bars=speech.bars(table, *where))]
    else:
        confidence = _confidence(bound, regions)
        says = [speech.say("claim.key.not", key=wanted.words)]
        says += [
            speech.say(
                "claim.key.region",
                bars=speech.bars(table, max(f.first, bars.first), min(f.last, bars.last)),
                key=k.words,
            )
            for f, k in regions[:3]
        ]
    alone = degree == "wrong" and _meant(scene, bound, regions, wanted)
    if alone:
        says.append(speech.say("claim.key.meant", key=wanted.words))
    base = bound.claim.as_json()
    truths = []
    if where is not None:
        truths.append({**base, "bars": place_json(table, *where)})
    for f, k in regions:
        part = (max(f.first, bars.first), min(f.last, bars.last))
        truths.append({**base, "key": k.name, "how": "region", "bars": place_json(table, *part)})
    return Judgement(
        place=place,
        relation="open" if alone else "right",
        degree=degree,
        confidence=confidence,
        judged=True,
        evidence=_evidence(hits) or _all_notes(scene, bound),
        contrary=_evidence(f for f, _ in regions) or _all_notes(scene, bound),
        says=(*says, *_tutor(scene, bound)),
        notes=tuple(_spelling(wanted, [k for _, k in arrivals])),
        truth=tuple(truths),
    )


def _confidence(
    bound: Bound,
    found: Sequence[tuple[Finding, Key]],
    arrivals: Sequence[tuple[Finding, Key]] = (),
) -> float:
    """Mean confidence of the regions over the claimed bars, bar by bar.

    A cadence in a region's own key makes the key of its last bars at least as sure as itself: how
    often such a cadence tells the key was measured (`analyses.keys_regions`).
    """
    values = []
    for bar in bound.bars.indices:
        here = [
            max([f.confidence, *(a.confidence for a in _closing(bar, f, k, arrivals))])
            for f, k in found
            if f.first <= bar <= f.last
        ]
        if here:
            values.append(max(here))
    return sum(values) / len(values) if values else 0.0


def _closing(
    bar: int, region: Finding, key: Key, arrivals: Sequence[tuple[Finding, Key]]
) -> list[Finding]:
    """Cadences of a region in its own key to which a bar leads."""
    return [
        a
        for a, k in arrivals
        if k.sound == key.sound
        and region.first <= a.first <= region.last
        and a.first - CADENCE <= bar <= a.last
    ]


def _evidence(findings: object) -> tuple[Evidence, ...]:
    kept = [f for f in findings if isinstance(f, Finding)]  # type: ignore[attr-defined]
    return tuple(dict.fromkeys(e for f in kept for e in f.evidence))


def _all_notes(scene: Scene, bound: Bound) -> tuple[Evidence, ...]:
    lines = range(len(scene.table.lines))
    rows = proof.rows_of(scene.table, lines, bound.bars.start, bound.bars.end)
    return proof.notes(scene.table, rows)


def _spelling(wanted: Key, keys: Sequence[Key]) -> list[Sentence]:
    same = [k for k in keys if k.sound == wanted.sound]
    if same and all(k.name != wanted.name for k in same):
        return [speech.say("claim.key.spelling", key=same[0].words)]
    return []


def _tutor(scene: Scene, bound: Bound) -> tuple[Sentence, ...]:
    return tuple(
        w.sentence
        for w in scene.tutor_on("key")
        if w.first <= bound.bars.last and w.last >= bound.bars.first
    )


KIND = Kind(
    name="key",
    says="local keys",
    form=Form(
        (
            Field("key", KeyField(), required=True),
            Field("how", Word(("region", "arrives")), required=True),
        ),
        parts=False,
    ),
    judge=judge,
    readings=frozenset(
        {
            "pickup",
            "ending",
            "pass",
            "bar-offset",
            "german-b",
            "relative-key",
            "parallel-key",
            "tonicisation",
        }
    ),
)
