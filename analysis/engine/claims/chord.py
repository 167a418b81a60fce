"""Chord: root, quality, inversion, and who has which member.

The chords are those of `analyses.harmony`, judged slice by slice; who has what is counted. It holds
beat by beat: true in all claimed beats is right, in half of them near.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import WHERE_AND_WHO, Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.chord_facts import (
    Has,
    Heard,
    as_written,
    bar_verdicts,
    bars_named,
    heard,
    members_of,
)
from analysis.engine.claims.chord_said import says, spelling, truths, who
from analysis.engine.claims.chord_words import alike, quality_named
from analysis.engine.claims.facts import combine_units, worst
from analysis.engine.claims.fields import (
    Field,
    Form,
    PerPart,
    PitchField,
    Text,
    Whole,
    Word,
    read_pitch,
)
from analysis.engine.claims.negation import deny
from analysis.engine.claims.schema import Claim
from analysis.engine.claims.told import as_told
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import Evidence, Sentence
from analysis.engine.names import Unit
from analysis.engine.pitch import Pitch

MEMBERS = ("root", "third", "fifth", "seventh", "foreign")


def check(claim: Claim) -> None:
    asked = [claim[name] for name in ("root", "quality", "inversion", "member")]
    if all(value is None for value in asked):
        raise ClaimNotUnderstood("Which chord? Name its root, its sort, its bass, or who has what.")
    if claim["quality"] is not None:
        quality_named(claim["quality"])


def judge(scene: Scene, bound: Bound) -> Judgement:
    told = bound
    if bound["quality"] is not None:
        bound = bound.with_fields(quality=quality_named(bound["quality"]))
    told_so = as_told(scene, bound, lambda value: _same(bound, value))
    if told_so is not None:
        return told_so
    found = heard(scene.table, bound)
    if not found:
        return _nothing(scene, bound)
    main = max(found, key=lambda h: (h.name == "right", h.name == "near", h.length))
    has = _members(scene, bound, main)
    judgement = _judged(scene, bound, told, found, main, has)
    return _deny(scene, bound, found, judgement) if bound.claim.negated else judgement


def _same(bound: Bound, value: Mapping[str, Any]) -> bool | None:
    """Whether a stored chord is the claimed one, in all that both name."""
    asked = []
    root = read_pitch(str(value.get("root", "")))
    if bound["root"] is not None and root is not None:
        pc = root.midi if isinstance(root, Pitch) else root.pc
        asked.append(pc % 12 == bound["root"].pc % 12)
    if bound["quality"] is not None and value.get("quality"):
        asked.append(alike(bound["quality"], quality_named(str(value["quality"]))) == "right")
    if bound["inversion"] is not None and value.get("inversion") is not None:
        asked.append(bound["inversion"] == value["inversion"])
    return all(asked) if asked else None


def _nothing(scene: Scene, bound: Bound) -> Judgement:
    where = speech.bars(scene.table, bound.bars.first, bound.bars.last)
    lines = range(len(scene.table.lines))
    shown = proof.notes_or_rests(scene.table, lines, bound.bars)
    denied = bound.claim.negated
    return Judgement(
        relation="right" if denied else "wrong",
        evidence=shown,
        contrary=shown,
        says=(speech.say("claim.chord.none", bars=where),),
        truth=({**bound.claim.as_json(), "negated": not denied},),
    )


def _judged(
    scene: Scene,
    bound: Bound,
    told: Bound,
    found: Sequence[Heard],
    main: Heard,
    has: Sequence[tuple[Unit, str, Has]],
) -> Judgement:
    place, degree = _beats(scene, bound, found)
    bass = _basses(bound, found)
    members = [("right", "right", h.verdict(word)) for _, word, h in has]
    parts: Verdict = "right"
    if members:
        _, parts, _, had = combine_units(members)  # type: ignore[arg-type, assignment]
        if degree in ("right", "near"):
            degree = worst((degree, had))  # type: ignore[has-type]
    degree = worst((degree, bass))
    wrong = degree == "wrong" or parts == "wrong"
    written = _as_written(main, has)
    shown = proof.notes(scene.table, proof.rows_of(scene.table, *_all(scene, bound)))
    return Judgement(
        place=place,
        parts=parts,
        degree=degree,
        confidence=_confidence(found, wrong and degree == "wrong" and main.name == "wrong"),
        judged=True,
        evidence=_evidence(scene, has) or shown,
        contrary=(_against(scene, bound, has) if main.name == "right" else ()) or shown,
        says=(*says(scene, found, main, place), *who(has), *written),
        notes=spelling(scene, bound, main),
        truth=tuple(truths(scene, told, found, main, has)),
        cause="untransposed" if written else None,
    )


def _as_written(main: Heard, has: Sequence[tuple[Unit, str, Has]]) -> list[Sentence]:
    """What was read where every wrong member is the one that is written; nothing else."""
    missed = [(unit, word, h) for unit, word, h in has if h.verdict(word) == "wrong"]
    same = [as_written(h, main.chord, main.start, main.end).verdict(word) == "right"
            for _, word, h in missed]  # fmt: skip
    if main.name != "right" or not missed or not all(same):
        return []
    return [
        speech.say("claim.chord.written", part=unit.label, member=word) for unit, word, _ in missed
    ]


def _all(scene: Scene, bound: Bound) -> tuple[range, int, int]:
    return range(len(scene.table.lines)), bound.bars.start, bound.bars.end


def _beats(scene: Scene, bound: Bound, found: Sequence[Heard]) -> tuple[Verdict, Verdict]:
    """Place and degree: by the share of time where beats are named, else by bars.

    A bar is true if the chord covers its first or its last attack (contract, kinds that hold
    throughout), and near if it sounds in it somewhere.
    """
    seen: list[tuple[str, int]] = [(h.name, h.length) for h in found]
    if bars_named(scene.table, bound):
        seen = bar_verdicts(scene.table, bound, found)
    total = sum(size for _, size in seen)
    share = {v: sum(size for word, size in seen if word == v) / total
             for v in ("right", "within", "near", "wrong")}  # fmt: skip
    least = scene.settings.near_share
    if share["right"] >= 1.0:
        return "right", "right"
    if share["right"] + share["within"] >= least:
        return "near", "right"
    if sum(share.values()) - share["wrong"] >= 1.0:
        return "right", "near"
    if sum(share.values()) - share["wrong"] >= least:
        return "near", "near"
    return "right", "wrong" if share["wrong"] >= least else "open"


def _basses(bound: Bound, found: Sequence[Heard]) -> Verdict:
    """The inversion, over the chords whose name is right; a near miss beside a right name."""
    if bound["inversion"] is None:
        return "right"
    own = [h for h in found if h.name == "right"] or list(found)
    right = sum(h.length for h in own if h.bass == "right") / sum(h.length for h in own)
    if right >= 0.5:
        return "right"
    named = bound["root"] is not None or bound["quality"] is not None
    return "near" if named or right > 0 else "wrong"


def _confidence(found: Sequence[Heard], wrong: bool) -> float:
    """Mean sureness by time, over what decides: the right chords, or those that speak against."""
    own = [h for h in found if (h.name == "wrong") is wrong] or list(found)
    return sum(h.confidence * h.length for h in own) / sum(h.length for h in own)


def _members(scene: Scene, bound: Bound, main: Heard) -> list[tuple[Unit, str, Has]]:
    """For each part named: the claimed member, and what it has of the chord."""
    words = [word for _, word in bound["member"] or ()]
    return [
        (unit, word, members_of(scene.table, unit, main.chord, main.start, main.end))
        for named, word in zip(bound.named.get("member", ()), words, strict=True)
        for unit in named.units
    ]


# --- denials and evidence -----------------------------------------------------


def _deny(scene: Scene, bound: Bound, found: Sequence[Heard], asked: Judgement) -> Judgement:
    """ "There is no C major here": it must sound in no claimed beat."""
    bars = bound.bars
    if bound["member"] is None:
        hits = [h for h in found if h.name == h.bass == "right"]
    else:
        hits = list(found) if not asked.any_wrong else []
    true = {
        b.index
        for b in scene.table.bars[bars.first : bars.last + 1]
        for h in hits
        if h.start < b.end and h.end > b.start
    }
    clear = bound["member"] is None or asked.all_right
    told = deny(
        scene,
        bound,
        true,
        asked.evidence,
        unclear=bool(true) and not clear,
        evidence=asked.contrary,
        confidence=_confidence(hits or found, False),
        judged=True,
    )
    return told.but(says=(*told.says, *asked.says))


def _evidence(scene: Scene, has: Sequence[tuple[Unit, str, Has]]) -> tuple[Evidence, ...]:
    return tuple(
        e for _, word, h in has if h.verdict(word) != "wrong"
        for e in proof.notes(scene.table, h.rows)
    )  # fmt: skip


def _against(
    scene: Scene, bound: Bound, has: Sequence[tuple[Unit, str, Has]]
) -> tuple[Evidence, ...]:
    """The other members the parts have, or their rests."""
    bars = (bound.bars.first, bound.bars.last)
    return tuple(
        e
        for unit, word, h in has
        if h.verdict(word) == "wrong"
        for e in (proof.notes(scene.table, h.rows) or (proof.rests(scene.table, unit.part, *bars),))
    )


KIND = Kind(
    name="chord",
    says="a chord and who has what",
    form=Form(
        (
            Field("root", PitchField()),
            Field("quality", Text()),
            Field("inversion", Whole(0, 6)),
            Field("member", PerPart(Word(MEMBERS))),
        ),
        parts=False,
    ),
    judge=judge,
    readings=WHERE_AND_WHO | {"german-b"},
    check=check,
    part_fields=("member",),
)
