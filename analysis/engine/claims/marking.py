"""Marking: what is written over a part, or the register it uses."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Kind, Scene
from analysis.engine.claims.facts import Fact as BarFact
from analysis.engine.claims.facts import Try, stretch, stretches, with_tutor, worst
from analysis.engine.claims.fields import Field, Form, Text, Word
from analysis.engine.claims.mark_words import LEVEL_NAMES, Sense, in_words, read_mark
from analysis.engine.claims.marking_facts import (
    Shown,
    mark_bars,
    printed_beside,
    register_bars,
    register_pitches,
    registers_of,
    unit_rows,
)
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.schema import Claim
from analysis.engine.claims.throughout import Held, against, goes_on, hold, narrower
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import Evidence, NoteArray, Sentence
from analysis.engine.names import Unit
from analysis.engine.pitch import Pitch
from analysis.engine.sentences import register

register(
    {
        "claim.marking.is": "{part} has “{mark}” in {bars}.",
        "claim.marking.not": "{part} has no “{mark}” in {bars}.",
        "claim.marking.instead": "{part} has “{other}” in {bars}.",
        "claim.marking.plain": "{part} plays as usual in {bars}.",
        "claim.marking.unknown": "The file prints nothing that tells whether {part} has “{mark}”.",
        "claim.marking.elsewhere": "“{mark}” stands over {part} in {bars}.",
        "claim.marking.alone": "No “{mark}” is printed, though {part} is alone on its staff there.",
        "claim.marking.register": (
            "{part} lies in its {register} register ({name}) in {bars}, from {low} to {high}."
        ),
        "claim.marking.register.plain": (
            "{part} lies in its {register} register in {bars}, from {low} to {high}."
        ),
        "claim.marking.across": (
            "{part} moves through several registers in {bars}: {low} to {high}."
        ),
        "claim.marking.border": "Books differ by a tone or so about where that register begins.",
        "claim.marking.unnamed": "The registers of {part} have no settled names.",
    }
)


def check(claim: Claim) -> None:
    if claim["mark"] is None and claim["register"] is None:
        raise ClaimNotUnderstood("What is marked? Name a mark (pizz., con sord.) or a register.")


def judge(scene: Scene, bound: Bound) -> Judgement:
    """The mark, the register, or both together."""
    sides = [s for s in ("mark", "register") if bound[s] is not None]
    found = [_one(scene, bound, side) for side in sides]
    if len(found) == 1:
        return found[0]
    one, two = found
    return Judgement(
        place=worst((one.place, two.place)),
        parts=worst((one.parts, two.parts)),
        relation=one.relation,
        degree=worst((one.degree, two.relation, two.degree)),
        evidence=tuple(dict.fromkeys((*one.evidence, *two.evidence))),
        contrary=tuple(dict.fromkeys((*one.contrary, *two.contrary))),
        says=(*one.says, *two.says),
        notes=(*one.notes, *two.notes),
        truth=(*one.truth, *two.truth),
        hits=min(one.hits, two.hits),
        exception=one.exception if one.hits and two.hits else None,
    )


def _one(scene: Scene, bound: Bound, side: str) -> Judgement:
    shown = {u: _shown(scene, bound, u, side) for u in bound.units}
    if bound.claim.negated:
        return _deny(scene, bound, side, shown)
    held = hold(scene, bound, {u: _tries(s, side) for u, s in shown.items()})
    says = [s for u in bound.units for s in _says(scene, bound, held, u, side)]
    near = held.degree == "near"
    notes = goes_on(scene, bound, held) if held.all_right else ()
    border = (speech.say("claim.marking.border"),) if side == "register" and near else ()
    return Judgement(
        place=held.place,
        parts=held.parts,
        relation=held.relation,
        degree=held.degree,
        evidence=_notes(scene, bound, held.good),
        contrary=against(scene, bound, held),
        says=(*says, *border),
        notes=notes,
        truth=tuple(_truths(scene, bound, held, side, shown)),
    )


def _shown(scene: Scene, bound: Bound, unit: Unit, side: str) -> Shown:
    """Where it is so, with the tutor's word in it; a silent part shows nothing."""
    table, movement = scene.table, bound.movement
    if side == "mark":
        sense = read_mark(bound["mark"])
        found = mark_bars(table, unit, sense, movement)
        if not found.known and sense.is_state:
            # Printed over its neighbours and not over it: the file does tell.
            known = printed_beside(table, unit, sense, bound.bars.indices)
            found = replace(found, known=known)
    else:
        found = register_bars(table, unit, bound["register"], movement)
    playing = proof.bars_sounding(table, unit.lines)
    if not playing & set(bound.bars.indices) and not read_mark(bound["mark"] or "").is_word:
        found = Shown(found.true - set(bound.bars.indices), found.near & playing, found.known)
    facts = with_tutor(
        [BarFact(found.true, {side: bound[side]}, unit.lines)], scene, "marking", unit.lines
    )
    told = [f for f in facts if f.tutor is None or _same(f.value, side, bound[side])]
    true = frozenset(b for f in told for b in f.bars)
    return Shown(true, found.near | true, found.known or any(f.tutor for f in told))


def _same(value: Mapping[str, Any], side: str, claimed: str) -> bool:
    theirs = value.get(side)
    if theirs is None:
        return False
    return theirs == claimed or (
        side == "mark" and read_mark(str(theirs)).name == read_mark(claimed).name
    )


def _tries(shown: Shown, side: str) -> list[Try]:
    tries = [Try(shown.true)]
    if shown.near != shown.true:
        near = ("right", "near") if side == "register" else ("near", "right")
        tries.append(Try(shown.near, *near))  # type: ignore[arg-type]
    if not shown.known:
        tries = [Try(shown.true, "open")]
    return tries


def _deny(scene: Scene, bound: Bound, side: str, shown: Mapping[Unit, Shown]) -> Judgement:
    inside = set(bound.bars.indices)
    true = frozenset(b for s in shown.values() for b in s.true)
    notes = _notes(scene, bound, bound.units)
    unknown = [u for u, s in shown.items() if not s.known]
    if unknown and not true & inside:
        said = speech.say("claim.marking.unknown", part=unknown[0].label, mark=_name(bound, side))
        if read_mark(bound["mark"] or "").is_word or side == "register":
            # A word that is nowhere printed is not there, as far as the file goes.
            return deny(scene, bound, (), (), evidence=notes, confidence=0.8)
        return Judgement(relation="open", says=(said,))
    found = deny(scene, bound, true, notes, evidence=notes)
    run = stretch(true & inside, bound.bars)
    says = []
    for unit in bound.units if run is None else [u for u in shown if shown[u].true & inside]:
        says += _is(scene, bound, unit, side, run) if run else _else(scene, bound, unit, side)
    return found.but(says=(*found.says, *says))


# --- evidence and words -------------------------------------------------------


def _notes(
    scene: Scene, bound: Bound, units: list[Unit] | tuple[Unit, ...]
) -> tuple[Evidence, ...]:
    return tuple(e for u in units for e in proof.notes_or_rests(scene.table, u.lines, bound.bars))


def _name(bound: Bound, side: str) -> str:
    return read_mark(bound["mark"]).name if side == "mark" else f"{bound['register']} register"


def _says(scene: Scene, bound: Bound, held: Held, unit: Unit, side: str) -> list[Sentence]:
    attempt, verdict = held.tries[unit], held.verdicts[unit]
    inside = set(bound.bars.indices)
    if "open" in verdict:
        if side == "register":
            return [speech.say("claim.marking.unnamed", part=unit.label)]
        return [speech.say("claim.marking.unknown", part=unit.label, mark=_name(bound, side))]
    says: list[Sentence] = []
    for run in stretches(attempt.true & inside):
        says += _is(scene, bound, unit, side, run, near="near" in verdict[1:])
    missing = sorted(inside - attempt.true)
    if missing:
        says += _else(scene, bound, unit, side, set(missing))
    there = stretch(attempt.true, bound.bars)
    if verdict[0] == "wrong" and there is not None and not attempt.true & inside:
        where = speech.bars(scene.table, *there)
        says.append(
            speech.say(
                "claim.marking.elsewhere", part=unit.label, mark=_name(bound, side), bars=where
            )
        )
    return says


def _is(
    scene: Scene, bound: Bound, unit: Unit, side: str, run: tuple[int, int], near: bool = False
) -> list[Sentence]:
    where = speech.bars(scene.table, *run)
    if side == "register":
        return _register(scene, unit, run)
    sense = read_mark(bound["mark"])
    if near and sense.name in ("solo", "soli"):
        return [speech.say("claim.marking.alone", part=unit.label, mark=sense.name)]
    if near:
        return _in_force(scene, unit, sense, run)
    return [speech.say("claim.marking.is", part=unit.label, mark=sense.name, bars=where)]


def _else(
    scene: Scene, bound: Bound, unit: Unit, side: str, bars: set[int] | None = None
) -> list[Sentence]:
    """What the part has there instead, of the claimed bars that are not so."""
    says: list[Sentence] = []
    for run in stretches(bound.bars.indices if bars is None else bars)[:3]:
        where = speech.bars(scene.table, *run)
        if not proof.bars_sounding(scene.table, unit.lines) & set(range(run[0], run[1] + 1)):
            says.append(speech.say("claim.rests", part=unit.label, bars=where))
        elif side == "register":
            says += _register(scene, unit, run)
        else:
            sense = read_mark(bound["mark"])
            says.append(
                speech.say("claim.marking.not", part=unit.label, mark=sense.name, bars=where)
            )
            if sense.is_state:
                says += _in_force(scene, unit, sense, run)
    return says


def _in_force(scene: Scene, unit: Unit, sense: Sense, run: tuple[int, int]) -> list[Sentence]:
    """Dynamic or techniques of the part in these bars."""
    rows = _rows(scene, unit, run)
    where = speech.bars(scene.table, *run)
    if sense.level:
        levels = sorted({int(v) for v in rows["dynamic"] if v > 0})
        other = " – ".join(LEVEL_NAMES[v] for v in levels[:1] + levels[1:][-1:])
    else:
        other = in_words(int(np.bitwise_or.reduce(rows["technique"].astype(np.int64), initial=0)))
    if other:
        return [speech.say("claim.marking.instead", part=unit.label, other=other, bars=where)]
    return [speech.say("claim.marking.plain", part=unit.label, bars=where)]


def _rows(scene: Scene, unit: Unit, run: tuple[int, int]) -> NoteArray:
    rows = unit_rows(scene.table, unit)
    found: NoteArray = rows[(rows["bar"] >= run[0]) & (rows["bar"] <= run[1])]
    return found


def _register(scene: Scene, unit: Unit, run: tuple[int, int]) -> list[Sentence]:
    """ "Cl lies in its low register (chalumeau) in bars 1-4, from E3 to F4", as it sounds."""
    known = registers_of(scene.table, unit)
    rows = _rows(scene, unit, run)
    rows = rows[rows["pitch"] >= 0]
    if known is None or not len(rows):
        return []
    low, high = rows[rows["pitch"].argmin()], rows[rows["pitch"].argmax()]
    words = {known.of(int(p)) for p in register_pitches(known, rows)}
    params = {
        "part": unit.label,
        "bars": speech.bars(scene.table, *run),
        "low": Pitch(int(low["step"]), int(low["alter"]), int(low["octave"])).name,
        "high": Pitch(int(high["step"]), int(high["alter"]), int(high["octave"])).name,
    }
    if len(words) > 1:
        return [speech.say("claim.marking.across", **params)]
    word = words.pop()
    name = known.names[("low", "middle", "high").index(word)]
    if name == word:
        return [speech.say("claim.marking.register.plain", register=word, **params)]
    return [speech.say("claim.marking.register", register=word, name=name, **params)]


def _truths(
    scene: Scene, bound: Bound, held: Held, side: str, shown: Mapping[Unit, Shown]
) -> list[dict[str, Any]]:
    base = bound.claim.as_json()
    found = narrower(scene, bound, held)
    if side == "register":
        found += [{**base, "register": w} for w in ("low", "middle", "high")]
    for unit, own in shown.items():
        if run := stretch(own.true, bound.bars):
            value = {"bars": place_json(scene.table, *run), "parts": [part_json(scene.table, unit)]}
            found.append({**base, **value})
    return [*found, {**base, "negated": True}]


KIND = Kind(
    name="marking",
    says="what is written, or the register used",
    form=Form((Field("mark", Text()), Field("register", Word(("low", "middle", "high"))))),
    judge=judge,
    check=check,
    pitched=False,
)
