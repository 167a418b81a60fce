"""Texture: what sort of tissue the bars are. Rests on the findings of kind "texture".

Only what counting shuts out speaks against a claim (`texture_counts`); another word for the same
bars is the tutor's ear. Right where the claimed bars and those of the finding are mostly the same
(Jaccard), and where the finding covers all that is claimed: four bars of a chorale of sixteen are
a chorale. Dialogue and imitation are told beside the others, so that two may both be right.
"""

from __future__ import annotations

from collections.abc import Sequence

from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.facts import stretch, stretches
from analysis.engine.claims.fields import Field, Form, Word
from analysis.engine.claims.naming import place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.texture_counts import shut_out
from analysis.engine.model import Evidence, Finding, Sentence
from analysis.engine.sentences import register

register(
    {
        "claim.texture.is": "In {bars} I read {texture}.",
        "claim.texture.is.unsure": "In {bars} I read {texture}, but not surely.",
        "claim.texture.unclear": "What the texture of {bars} is, is not clear to me.",
        "claim.texture.shut-out.single-line": "Several notes sound at once: that is harmony.",
        "claim.texture.shut-out.held-chords": "A line moves there.",
        "claim.texture.shut-out.chorale": "The parts do not share one rhythm.",
        "claim.texture.shut-out.pulse": "No part repeats its note.",
        "claim.texture.shut-out.bare": "All that sounds is one note and its octaves.",
        "claim.texture.word.single-line": "a single line, no harmony",
        "claim.texture.word.melody-accompaniment": "a tune with accompaniment",
        "claim.texture.word.melody-countermelody": "two tunes at once",
        "claim.texture.word.chorale": "a chorale, all in one rhythm",
        "claim.texture.word.part-writing": "part-writing, lines of equal weight",
        "claim.texture.word.imitation": "imitation",
        "claim.texture.word.dialogue": "dialogue",
        "claim.texture.word.held-chords": "held chords",
        "claim.texture.word.layered": "layer over layer",
        "claim.texture.word.pulse": "a pulse without a tune",
    }
)

TEXTURES = (
    "single-line", "melody-accompaniment", "melody-countermelody", "chorale", "part-writing",
    "imitation", "dialogue", "held-chords", "layered", "pulse",
)  # fmt: skip
#: Words that books use for the same bars: one for the other is near. Common practice, no source.
AKIN: tuple[frozenset[str], ...] = (
    frozenset({"melody-accompaniment", "melody-countermelody"}),
    frozenset({"melody-countermelody", "part-writing"}),
    frozenset({"melody-countermelody", "dialogue"}),
    frozenset({"part-writing", "imitation"}),
    frozenset({"part-writing", "layered"}),
    frozenset({"part-writing", "chorale"}),
    frozenset({"chorale", "held-chords"}),
    frozenset({"held-chords", "pulse"}),
    frozenset({"layered", "melody-accompaniment"}),
    frozenset({"imitation", "dialogue"}),
)
#: overlap with a finding (Jaccard) that is right, and near (contract, "Curves")
RIGHT, NEAR = 0.6, 0.3
#: how sure a word is that the notes shut out
COUNTED = 0.97
#: told beside the other textures, never instead of them
BESIDE = frozenset({"imitation", "dialogue"})


def judge(scene: Scene, bound: Bound) -> Judgement:
    table, bars, wanted = scene.table, bound.bars, bound["texture"]
    found = [f for f in scene.of_kind("texture", bound.movement.index)
             if f.value.get("texture") in TEXTURES]  # fmt: skip
    own = [f for f in found if f.value["texture"] == wanted]
    here = [f for f in found if f.first <= bars.last and f.last >= bars.first]
    if bound.claim.negated:
        return _deny(scene, bound, own, here)
    place, relation, used = _verdict(scene, bound, own, here)
    sure = COUNTED if relation == "wrong" else _mean(used, bound) if used else 0.0
    base = bound.claim.as_json()
    truths = []
    if run := stretch({b for f in own for b in range(f.first, f.last + 1)}, bars):
        inside = (max(run[0], bars.first), min(run[1], bars.last))
        truths += [{**base, "bars": place_json(table, *r)} for r in (inside, run) if r[0] <= r[1]]
    for f in sorted(here, key=lambda f: -f.confidence):
        inside = (max(f.first, bars.first), min(f.last, bars.last))
        value = {"texture": f.value["texture"], "bars": place_json(table, *inside)}
        truths.append({**base, **value})
    right = place == relation == "right"
    return Judgement(
        place=place,
        relation=relation,
        confidence=sure,
        judged=True,
        evidence=_notes(scene, bound, used),
        contrary=_notes(scene, bound, ()),
        says=(*_why(scene, bound, relation), *_says(scene, bound, used if right else here)),
        notes=tuple(_further(scene, bound, own)) if right else (),
        truth=tuple(truths),
    )


def _verdict(
    scene: Scene, bound: Bound, own: Sequence[Finding], here: Sequence[Finding]
) -> tuple[Verdict, Verdict, Sequence[Finding]]:
    """Place, relation, and the findings they rest on."""
    place = _place(scene, bound, own)
    if place != "wrong":
        return place, "right", [f for f in own if f in here]
    akin = [
        f for f in here
        if any({f.value["texture"], bound["texture"]} <= pair for pair in AKIN)
    ]  # fmt: skip
    place = _place(scene, bound, akin)
    if place != "wrong":
        return place, "near", akin
    if not _possible(scene, bound):
        return "right", "wrong", here
    return "right", "open", here


def _possible(scene: Scene, bound: Bound) -> bool:
    """Whether counting leaves room for the claimed texture, in half of the bars at least."""
    out = shut_out(scene.table, bound.movement, bound["texture"]) & set(bound.bars.indices)
    return len(out) <= (1 - scene.settings.near_share) * len(bound.bars)


def _place(scene: Scene, bound: Bound, found: Sequence[Finding]) -> Verdict:
    """Covered throughout or mostly the same bars: right; half covered or a third the same: near."""
    claimed, true = set(bound.bars.indices), _bars(found)
    inside = claimed & true
    if not inside:
        return "wrong"
    touching = {b for r in stretches(true) if set(range(r[0], r[1] + 1)) & claimed
                for b in range(r[0], r[1] + 1)}  # fmt: skip
    same = len(inside) / len(claimed | touching)
    if inside == claimed or same >= RIGHT:
        return "right"
    enough = len(inside) >= scene.settings.near_share * len(claimed)
    return "near" if enough or same >= NEAR else "wrong"


def _bars(found: Sequence[Finding]) -> set[int]:
    return {b for f in found for b in range(f.first, f.last + 1)}


def _mean(found: Sequence[Finding], bound: Bound) -> float:
    """Mean confidence over the claimed bars that have one, each by its surest finding."""
    values = [
        max((f.confidence for f in found if f.first <= b <= f.last), default=None)
        for b in bound.bars.indices
    ]
    known = [v for v in values if v is not None]
    return sum(known) / len(known) if known else 0.0


def _deny(scene: Scene, bound: Bound, own: Sequence[Finding], here: Sequence[Finding]) -> Judgement:
    inside = set(bound.bars.indices)
    hits = [f for f in own if f in here]
    out = shut_out(scene.table, bound.movement, bound["texture"])
    covered = _bars([f for f in here if f.value["texture"] not in BESIDE]) & inside
    if hits:
        sure = max(f.confidence for f in hits)
    elif inside <= out:
        sure = COUNTED
    elif bound["texture"] in BESIDE or covered != inside:
        sure = 0.0  # what is not clear may be anything
    else:
        sure = _mean(here, bound)
    found = deny(
        scene,
        bound,
        _bars(hits) & inside,
        _notes(scene, bound, hits),
        evidence=_notes(scene, bound, here),
        confidence=sure,
        judged=True,
    )
    return found.but(says=(*found.says, *_says(scene, bound, hits or here)))


def _notes(scene: Scene, bound: Bound, found: Sequence[Finding]) -> tuple[Evidence, ...]:
    """The findings' notes in the claimed bars; all notes there if none of them is."""
    table, bars = scene.table, bound.bars
    lines = sorted({line for f in found for line in f.lines}) or range(len(table.lines))
    return proof.notes_or_rests(table, lines, bars)


def _says(scene: Scene, bound: Bound, found: Sequence[Finding]) -> list[Sentence]:
    table, bars = scene.table, bound.bars
    says = []
    for f in sorted(found, key=lambda f: (f.first, -f.confidence))[:4]:
        where = speech.bars(table, max(f.first, bars.first), min(f.last, bars.last))
        word = speech.phrase(f"claim.texture.word.{f.value['texture']}")
        says.append(speech.say("claim.texture.is", bars=where, texture=word))
    if says:
        return says
    where = speech.bars(table, bars.first, bars.last)
    return [speech.say("claim.texture.unclear", bars=where)]


def _why(scene: Scene, bound: Bound, relation: Verdict) -> list[Sentence]:
    """What shuts the claimed texture out."""
    if relation != "wrong":
        return []
    wanted = bound["texture"]
    bare = shut_out(scene.table, bound.movement, "part-writing") & set(bound.bars.indices)
    named = wanted in ("single-line", "held-chords", "chorale", "pulse") and not bare
    return [speech.say(f"claim.texture.shut-out.{wanted if named else 'bare'}")]


def _further(scene: Scene, bound: Bound, own: Sequence[Finding]) -> list[Sentence]:
    bars = bound.bars
    run = stretch(_bars(own), bars)
    return speech.place_note(scene.table, run, bars.first, bars.last)


KIND = Kind(
    name="texture",
    says="the texture",
    form=Form((Field("texture", Word(TEXTURES), required=True),), parts=False),
    judge=judge,
)
