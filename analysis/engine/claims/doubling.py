"""Doubling: which lines go with which, at how many octaves, how fully; nobody; levels.

Facts are the runs of `analyses.runs`, found from the score alone; the claimed
span only decides which bars are asked about.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from analysis.engine.analyses.runs import DOUBLED, meeting
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import WHERE_AND_WHO, Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.doubling_facts import fact_notes, facts_between
from analysis.engine.claims.doubling_words import further, say_fact, say_pairs
from analysis.engine.claims.facts import (
    Fact,
    Try,
    best_try,
    combine_units,
    stretch,
    stretches,
    truthful,
)
from analysis.engine.claims.fields import Field, Form, Many, PartField, Whole, Word, YesNo
from analysis.engine.claims.instead import instead
from analysis.engine.claims.levels import judge_levels
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.schema import Claim
from analysis.engine.claims.undoubled import judge_alone
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import Evidence, Sentence
from analysis.engine.names import Unit

COVERAGES = ("full", "partial", "simplified", "heterophonic", "none")
#: What may be taken for what: right, and near. (Contract: simplified and heterophonic are one
#: sort, near to full.)
_RIGHT: dict[str, frozenset[str]] = {
    "full": frozenset({"full", "noted"}),
    "partial": frozenset({"partial"}),
    "simplified": frozenset({"simplified", "heterophonic"}),
    "heterophonic": frozenset({"simplified", "heterophonic"}),
}
_NEAR: dict[str, frozenset[str]] = {
    "full": frozenset({"simplified", "heterophonic", "partial"}),
    "partial": frozenset({"full", "noted", "simplified", "heterophonic", "reinforcement"}),
    "simplified": frozenset({"full", "noted", "partial"}),
    "heterophonic": frozenset({"full", "noted", "partial"}),
}


def check(claim: Claim) -> None:
    """What the fields alone cannot say."""
    none, levels = claim["coverage"] == "none", claim["levels"]
    if levels is not None:
        if claim["with"]:
            raise ClaimNotUnderstood(
                "Octave levels are counted among the parts themselves: leave “with” empty."
            )
        return
    if not claim.parts:
        raise ClaimNotUnderstood("Which part doubles? None is named.")
    if not none and not claim["with"]:
        raise ClaimNotUnderstood("Which part is doubled? “with” names none.")


def judge(scene: Scene, bound: Bound) -> Judgement:
    if bound["levels"] is not None:
        return judge_levels(scene, bound)
    if bound["coverage"] == "none":
        return judge_alone(scene, bound)
    return _pairs(scene, bound)


# --- parts double with --------------------------------------------------------


def _pairs(scene: Scene, bound: Bound) -> Judgement:
    bars = bound.bars
    others = bound.named_units("with")
    any_octave = bound["octaves"] is None
    tries: dict[Unit, Try] = {}
    facts: dict[Unit, list[Fact]] = {}
    for unit in bound.units:
        facts[unit] = facts_between(scene, unit, others, any_octave=any_octave)
        tries[unit] = best_try(_tries(bound, facts[unit]), bars, scene.settings)
    if bound.claim.negated:
        return _deny_pairs(scene, bound, facts)
    verdicts = [_unit_verdict(scene, bound, unit, attempt) for unit, attempt in tries.items()]
    place, parts, relation, degree = combine_units(verdicts)
    if scene.trial:  # only whether it is right is asked: nothing is shown or said
        return Judgement(place=place, parts=parts, relation=relation, degree=degree)
    good = [u for u, v in zip(tries, verdicts, strict=True) if "wrong" not in v]
    shown = [f for u in good for f in tries[u].facts if f.bars & set(bars.indices)]
    judgement = Judgement(
        place=place,
        parts=parts,
        relation=relation,
        degree=degree,
        evidence=fact_notes(scene, bound, shown),
        contrary=tuple(
            e
            for unit in bound.units
            for e in _against(scene, bound, unit, others, tries[unit], facts[unit])
        ),
        says=say_pairs(scene, bound, tries, verdicts, facts),
        truth=_truths(scene, bound, tries, facts),
    )
    return judgement.but(notes=further(scene, bound, judgement, tries))


def _tries(bound: Bound, facts: Sequence[Fact]) -> list[Try]:
    """The claim as written, then with another distance, another fullness, both."""
    wanted, octaves = bound["coverage"], bound["octaves"]
    direction = bound["direction"]

    def distance_ok(value: Mapping[str, Any]) -> bool:
        if octaves is None or value.get("octaves") is None:
            return True
        if value.get("flips"):
            return False
        found = value["octaves"]
        return bool(found == octaves if direction else abs(found) == abs(octaves))

    def covered(value: Mapping[str, Any], relation: str) -> bool:
        # Who plays the simpler version is part of what "simplified" says.
        turned = wanted == "simplified" and not value.get("plain", True)
        alike = value["coverage"] in _RIGHT[wanted]
        if relation == "right":
            return alike and not turned
        return value["coverage"] in _NEAR[wanted] or (alike and turned)

    found = []
    for relation in ("right", "near"):
        for exact in (True, False):
            if not exact and octaves is None:
                continue
            true, kept = truthful(
                facts,
                lambda v, r=relation, e=exact: (
                    covered(v, r)  # type: ignore[misc]
                    and (distance_ok(v) if e else not v.get("flips"))
                ),
            )
            found.append(
                Try(true, relation, "right" if exact else "near", kept)  # type: ignore[arg-type]
            )
    # What is near in relation also counts beside what is right in it.
    both = frozenset(b for t in found for b in t.true if t.degree == "right")
    found.append(Try(both, "near", "right", tuple(f for t in found for f in t.facts)))
    return found


def _unit_verdict(
    scene: Scene, bound: Bound, unit: Unit, attempt: Try
) -> tuple[Verdict, Verdict, Verdict]:
    bars = bound.bars
    if not attempt.true & set(bars.indices):
        # Elsewhere in the movement it is so: then the place is wrong, else the relation.
        near_by = any(
            bars.first - len(bars) - 8 <= b <= bars.last + len(bars) + 8 for b in attempt.true
        )
        if near_by:
            return "wrong", attempt.relation, attempt.degree
        return "right", "wrong", "right"
    return attempt.place(bars, scene.settings), attempt.relation, attempt.degree


def _deny_pairs(scene: Scene, bound: Bound, facts: Mapping[Unit, Sequence[Fact]]) -> Judgement:
    """ "It does not double": a run in any claimed bar is the exception; a contact is none."""
    bars = bound.bars
    tries = {unit: _tries(bound, own) for unit, own in facts.items()}
    exact = [t for own in tries.values() for t in own[:1]]
    loose = [t for own in tries.values() for t in own if t.degree == "right"]
    true = frozenset(b for t in exact for b in t.true)
    near = frozenset(b for t in loose for b in t.true)
    inside = true & set(bars.indices)
    shown = [f for t in (exact if inside else loose) for f in t.facts if f.bars & set(bars.indices)]
    everyone = {line for u in (*bound.units, *bound.named_units("with")) for line in u.lines}
    found = deny(
        scene,
        bound,
        true if inside else near,
        fact_notes(scene, bound, shown),
        unclear=not inside,
        evidence=proof.notes_or_rests(scene.table, sorted(everyone), bars),
    )
    if not near & set(bars.indices):
        nowhere = speech.say(
            "claim.doubling.nowhere",
            parts=speech.people(scene.table, bound.units),
            others=speech.people(scene.table, bound.named_units("with")),
            bars=speech.bars(scene.table, bars.first, bars.last),
        )
        does = instead(scene, bound)
        notes = (*found.notes, *(n for n in _meets(scene, bound) if n not in does))
        return found.but(says=(nowhere, *does), notes=notes)
    units = [u for u, own in tries.items() if any(t.true & set(bars.indices) for t in own)]
    said = tuple(
        say_fact(scene, bound, u, [f for f in shown if f.lines[0] in u.lines]) for u in units[:3]
    )
    return found.but(says=(*found.says, *(s for s in said if s)))


def _meets(scene: Scene, bound: Bound) -> list[Sentence]:
    """They meet on a few notes: worth a note beside a rightly denied doubling."""
    bars = bound.bars
    for unit in bound.units:
        for other in bound.named_units("with"):
            for a in unit.lines:
                for b in other.lines:
                    if a == b:
                        continue
                    seen = meeting(scene.table, a, b, bars.start, bars.end)
                    most = max(seen.of_a, seen.of_b)
                    if 0 < seen.any_octave < max(3, scene.settings.doubling_contact * most):
                        return [
                            speech.say(
                                "claim.doubling.meets",
                                part=unit.label,
                                others=other.label,
                                met=seen.any_octave,
                                of=max(seen.of_a, seen.of_b),
                            )
                        ]
    return []


# --- evidence -----------------------------------------------------------------


def _against(
    scene: Scene,
    bound: Bound,
    unit: Unit,
    others: Sequence[Unit],
    attempt: Try,
    facts: Sequence[Fact],
) -> tuple[Evidence, ...]:
    """In the claimed bars that are not true: what the unit plays instead, or its rests."""
    table = scene.table
    missing = set(bound.bars.indices) - (
        attempt.true if attempt.relation != "wrong" and attempt.degree == "right" else frozenset()
    )
    found: list[Evidence] = []
    for first, last in stretches(missing):
        start, end = table.bars[first].start, table.bars[last].end
        own = proof.playing_or_rests(table, unit.lines, first, last)
        found += own
        if own and not own[0].rests:
            lines = [i for u in others for i in u.lines]
            found += proof.notes(table, proof.rows_of(table, lines, start, end))
    return tuple(found)


# --- truth --------------------------------------------------------------------


def _truths(
    scene: Scene, bound: Bound, tries: Mapping[Unit, Try], facts: Mapping[Unit, Sequence[Fact]]
) -> tuple[dict[str, Any], ...]:
    """Claims that would be right: true distance, fullness and bars, then the bare denial."""
    table, bars = scene.table, bound.bars
    base = bound.claim.as_json()
    found: list[dict[str, Any]] = []
    good = [u for u, t in tries.items() if t.place(bars, scene.settings) != "wrong"]
    if good and len(good) < len(tries):
        found.append({**base, "parts": [part_json(table, u) for u in good]})
    unit = good[0] if good else bound.units[0]
    ranked = [f for f in facts[unit] if f.bars & set(bars.indices)] or [
        f for f in facts[unit] if f.value["coverage"] in DOUBLED
    ]
    ranked.sort(key=lambda f: (-len(f.bars & set(bars.indices)), f.value["coverage"] not in DOUBLED,
                               min(abs(b - bars.first) for b in f.bars)))  # fmt: skip
    for fact in ranked[:4]:
        if fact.value["coverage"] in ("reinforcement", "contact"):
            continue
        inside = fact.bars & set(bars.indices)
        run = stretch(inside or fact.bars, bars)
        assert run is not None
        coverage = {"noted": "full"}.get(fact.value["coverage"], fact.value["coverage"])
        if coverage == "simplified" and not fact.value.get("plain", True):
            coverage = "heterophonic"
        value = {
            **base,
            "bars": place_json(table, *run),
            "octaves": None if fact.value.get("flips") else fact.value.get("octaves"),
            "direction": True,
            "coverage": coverage,
        }
        for parts in ([part_json(table, u) for u in (good or bound.units)],
                      [part_json(table, unit)]):  # fmt: skip
            found.append({**value, "parts": parts})
    found.append({**base, "negated": not bound.claim.negated})
    return tuple(found)


KIND = Kind(
    name="doubling",
    says="which parts go together, and at how many octaves",
    form=Form(
        (
            Field("with", Many(PartField()), default=()),
            Field("octaves", Whole(-8, 8)),
            Field("direction", YesNo(), default=True),
            Field("coverage", Word(COVERAGES), default="full"),
            Field("levels", Whole(1, 9)),
        ),
        parts=False,
    ),
    judge=judge,
    check=check,
    part_fields=("with",),
    readings=WHERE_AND_WHO
    | {
        "bass-written",
        "old-bass-clef",
        "cello-treble",
        "octave-count",
        "partial-as-full",
        "untransposed",
        "clef",
        "third-as-octave",
        "sixth-as-octave",
        "contact",
    },
)
