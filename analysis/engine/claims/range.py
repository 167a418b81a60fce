"""Range: the highest or lowest note of a part, within a passage, movement or work."""

from __future__ import annotations

import numpy as np

from analysis.engine.analyses.ranges import written_pitch
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import WHERE_AND_WHO, Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.fields import Field, Form, PitchField, PitchName, Word
from analysis.engine.claims.naming import place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.occurrences import nearest, place_verdict
from analysis.engine.model import NoteArray, ScoreTable, Sentence
from analysis.engine.pitch import Pitch
from analysis.engine.sentences import register

register(
    {
        "claim.range.highest": "The highest note of {parts} {within} is {pitch}, in {bars}.",
        "claim.range.lowest": "The lowest note of {parts} {within} is {pitch}, in {bars}.",
        "claim.range.movement": "in the movement",
        "claim.range.work": "in this file",
        "claim.range.passage": "in these bars",
        "claim.range.silent": "{parts} plays no note {within}.",
        "claim.range.spelling": "It is spelled {pitch} here.",
    }
)


def judge(scene: Scene, bound: Bound) -> Judgement:
    table, bars, settings = scene.table, bound.bars, scene.settings
    pitch: PitchName = bound["pitch"]
    within: str = bound["within"]
    scope = _scope(table, bound)
    word = speech.phrase(f"claim.range.{within}")
    names = speech.people(table, bound.units)
    if not len(scope):
        rests = tuple(proof.rests(table, u.part, bars.first, bars.last) for u in bound.units)
        says = speech.say("claim.range.silent", parts=names, within=word)
        if bound.claim.negated:  # what is not played is no extreme
            return Judgement(evidence=rests, says=(says,))
        return Judgement(relation="wrong", contrary=rests, says=(says,))
    height = written_pitch(scope) if pitch.written else scope["pitch"].astype(int)
    best = int(height.max() if bound["extreme"] == "highest" else height.min())
    rows = scope[height == best]
    found = sorted({int(b) for b in rows["bar"]})
    spans = [(b, b) for b in found]
    degree: Verdict = "right"
    if pitch.midi is None:
        degree = "right" if best % 12 == pitch.pc else "wrong"
    elif best != pitch.midi:
        degree = "near" if (best - pitch.midi) % 12 == 0 else "wrong"
    if within == "passage":
        place: Verdict = "right"
    else:
        place = place_verdict(spans, bars, settings)
    shown = proof.notes(table, rows)
    if bound.claim.negated:
        hit = [b for b in found if b in bars.indices] if degree == "right" else []
        return deny(scene, bound, hit, shown, evidence=shown)
    where = nearest(spans, bars)
    assert where is not None
    spelled = _name(rows[0], pitch.written)
    says = speech.say(
        f"claim.range.{bound['extreme']}",
        parts=names,
        within=word,
        pitch=spelled,
        bars=speech.bars(table, *where),
    )
    notes: list[Sentence] = []
    if degree == "right" and not _same_spelling(rows[0], pitch):
        notes.append(speech.say("claim.range.spelling", pitch=spelled))
    base = bound.claim.as_json()
    true_pitch = {"pitch": spelled, "written": True} if pitch.written else spelled
    truth = {**base, "pitch": true_pitch}
    if within != "passage":
        truth["bars"] = place_json(table, *where)
    return Judgement(
        place=place,
        degree=degree,
        evidence=shown,
        contrary=shown,
        says=(says,),
        notes=tuple(notes),
        truth=({**truth, "bars": base.get("bars")} if place == "right" else truth, truth),
    )


def _scope(table: ScoreTable, bound: Bound) -> NoteArray:
    """The notes among which the extreme is looked for."""
    lines = [i for u in bound.units for i in u.lines]
    rows = np.concatenate([table.by_line[i] for i in lines]) if lines else table.notes[:0]
    if bound["within"] == "passage":
        inside = (rows["onset"] >= bound.bars.start) & (rows["onset"] < bound.bars.end)
    elif bound["within"] == "movement":
        movement = bound.movement
        inside = (rows["bar"] >= movement.first_bar) & (rows["bar"] <= movement.last_bar)
    else:
        inside = np.ones(len(rows), dtype=bool)
    found: NoteArray = rows[inside]
    return found


def _name(row: np.void, written: bool) -> str:
    w = "w" if written else ""
    return Pitch(int(row[f"{w}step"]), int(row[f"{w}alter"]), int(row[f"{w}octave"])).name


def _same_spelling(row: np.void, pitch: PitchName) -> bool:
    w = "w" if pitch.written else ""
    return (int(row[f"{w}step"]), int(row[f"{w}alter"])) == (pitch.step, pitch.alter)


KIND = Kind(
    name="range",
    says="the highest or lowest note of a part",
    form=Form(
        (
            Field("extreme", Word(("highest", "lowest")), required=True),
            Field("pitch", PitchField(), required=True),
            Field("within", Word(("passage", "movement", "work")), required=True),
        )
    ),
    judge=judge,
    readings=WHERE_AND_WHO
    | {
        "bass-written",
        "old-bass-clef",
        "cello-treble",
        "octave-count",
        "untransposed",
        "clef",
        "german-b",
    },
)
