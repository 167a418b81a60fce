"""Pedal: a note held or repeated through changing harmony.

That a line keeps one note is counted (`analyses.pedals.note_runs`); that the harmony changes over
it is judged, chord by chord. A common tone of an inner part that lasts through changing chords is
what a student means by "held through", so it is right, with a note.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from analysis.engine.analyses.harmony import harmony
from analysis.engine.analyses.harmony_names import Chord
from analysis.engine.analyses.pedals import CHANGES, Run, chords_over, is_change, note_runs
from analysis.engine.analyses.spans import heads
from analysis.engine.analyses.speech import bar_at
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Kind, Scene
from analysis.engine.claims.facts import Fact, Try, stretch, truthful, with_tutor
from analysis.engine.claims.fields import Field, Form, PitchField, PitchName, read_pitch
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.reading_clefs import one_note
from analysis.engine.claims.throughout import (
    Held,
    against,
    goes_on,
    hold,
    narrower,
    places_said,
)
from analysis.engine.model import Evidence, Sentence
from analysis.engine.names import Unit
from analysis.engine.pitch import Pitch, spelled
from analysis.engine.sentences import register

register(
    {
        "claim.pedal.is": "{part} keeps {pitch} through {chords}.",
        "claim.pedal.is.unsure": "{part} keeps {pitch} through {chords}, if I hear them rightly.",
        "claim.pedal.still": "{part} keeps {pitch}, but the harmony stays {chords}: no pedal yet.",
        "claim.pedal.short": "{part} keeps {pitch} for less than {count} bars.",
        "claim.pedal.moves": "{part} does not keep one note: {pitches} in {bars}.",
        "claim.pedal.common": (
            "{pitch} belongs to all of these chords: some call it a held common tone."
        ),
        "claim.pedal.octave": "{pitch} is the right note in another octave.",
        "claim.pedal.written": "On paper it is {written}; it sounds {pitch}.",
        "claim.pedal.german-b": "A German B is B flat; B natural is called H.",
    }
)

_NAMED = 4  # chords or notes named in a sentence
#: how sure a change of harmony is in which so many pitch classes change; common practice
MANY, PLAIN = 3, 0.95


@dataclass(frozen=True, slots=True)
class Over:
    """A run of one note and the chords over it."""

    run: Run
    chords: tuple[Chord, ...]
    changes: int
    sure: float  # that the harmony changes often enough


def judge(scene: Scene, bound: Bound) -> Judgement:
    wanted: PitchName = bound["pitch"]
    facts = {unit: _facts(scene, bound, unit) for unit in bound.units}
    if bound.claim.negated:
        return _deny(scene, bound, facts, wanted)
    held = hold(scene, bound, {u: _tries(own, wanted) for u, own in facts.items()})
    cause, why = _misread(scene, bound, held, facts, wanted)
    says = [s for unit in bound.units for s in _says(scene, bound, held, unit, facts[unit])]
    wrong = "wrong" in (held.place, held.parts, held.relation, held.degree)
    return Judgement(
        place=held.place,
        parts=held.parts,
        relation=held.relation,
        degree=held.degree,
        # That another note, or none, is kept is counted; only the harmony is judged.
        confidence=1.0 if wrong else _confidence(bound, held),
        evidence=_notes(scene, bound, held.good),
        contrary=against(scene, bound, held),
        says=(*why, *says),
        notes=(*goes_on(scene, bound, held), *_common(bound, held)) if held.all_right else (),
        truth=tuple(_truths(scene, bound, held, facts)),
        cause=cause,
    )


# --- facts --------------------------------------------------------------------


def _facts(scene: Scene, bound: Bound, unit: Unit) -> list[Fact]:
    """Runs of one note in the unit's lines: long ones, and those of a bar at least."""
    table, settings = scene.table, scene.settings
    own = [h for h, lines in heads(table).items() if set(lines) & set(unit.lines)]
    found: list[Fact] = []
    seen: set[tuple[int, int]] = set()
    for how, bars in (("long", settings.pedal_min_bars), ("short", 1.0)):
        for line in own:
            for run in note_runs(table, line, replace(settings, pedal_min_bars=bars)):
                if (run.start, run.pc) not in seen:
                    seen.add((run.start, run.pc))
                    found.append(_fact(scene, run, how, unit))
    inside = range(bound.movement.first_bar, bound.movement.last_bar + 1)
    found = [f for f in found if f.bars <= set(inside)]
    return with_tutor(found, scene, "pedal", unit.lines, of=_of_tutor)


def _fact(scene: Scene, run: Run, how: str, unit: Unit) -> Fact:
    table = scene.table
    chords = chords_over(table, harmony(table), run)
    odds = [_odds(a, b, run.pc) for a, b in pairwise(chords) if is_change(a, b)]
    over = Over(run, tuple(chords), len(odds), _at_least(CHANGES, odds))
    if how == "long" and over.changes < CHANGES:
        how = "still"
    bars = frozenset(range(bar_at(table, run.start), bar_at(table, max(run.end - 1, 0)) + 1))
    value = {"pc": run.pc, "midis": frozenset(run.rows["pitch"].tolist()), "how": how}
    sure = over.sure if how == "long" else 1.0
    return Fact(bars, value, unit.lines, confidence=sure, detail=over)


def _of_tutor(value: Mapping[str, Any]) -> dict[str, Any]:
    found = read_pitch(str(value.get("pitch", "")))
    midis = frozenset({found.midi}) if isinstance(found, Pitch) else frozenset()
    pc = found.midi % 12 if isinstance(found, Pitch) else found.pc if found else -1
    return {"pc": pc, "midis": midis, "how": "long"}


def _odds(one: Chord, other: Chord, pedal: int) -> float:
    """How sure it is that the harmony changes there."""
    changed = (one.present ^ other.present) - {pedal}
    sure = min(one.confidence, other.confidence)
    return max(sure, PLAIN) if len(changed) >= MANY else sure


def _at_least(least: int, odds: Sequence[float]) -> float:
    """Probability that at least so many of independent events are so."""
    counts = [1.0]
    for p in odds:
        counts = [a * (1 - p) + b * p for a, b in zip([*counts, 0.0], [0.0, *counts], strict=True)]
    return sum(counts[least:])


def _tries(facts: Sequence[Fact], wanted: PitchName) -> list[Try]:
    def note(value: Mapping[str, Any]) -> bool:
        return bool(value["pc"] == wanted.pc % 12)

    def octave(value: Mapping[str, Any]) -> bool:
        return wanted.midi is None or not value["midis"] or wanted.midi in value["midis"]

    exact, own = truthful(facts, lambda v: note(v) and octave(v) and v["how"] == "long")
    other, theirs = truthful(facts, lambda v: note(v) and v["how"] == "long")
    still, kept = truthful(facts, lambda v: note(v) and octave(v))
    return [
        Try(exact, facts=own),
        Try(other, degree="near", facts=theirs),
        Try(still, "near", facts=kept),
    ]


def _confidence(bound: Bound, held: Held) -> float:
    """The least sure part's, each by its surest fact in the claimed bars."""
    inside = set(bound.bars.indices)
    return min(
        (
            max((f.confidence for f in t.facts if f.bars & inside), default=1.0)
            for t in held.tries.values()
        ),
        default=1.0,
    )


def _misread(
    scene: Scene,
    bound: Bound,
    held: Held,
    facts: Mapping[Unit, list[Fact]],
    wanted: PitchName,
) -> tuple[str | None, list[Sentence]]:
    """Why the pitch is another: an octave, the written note, the German B."""
    inside = set(bound.bars.indices)
    for unit in held.odd:
        for fact in facts[unit]:
            if not fact.bars & inside or fact.detail is None or fact.value["how"] == "short":
                continue
            row = fact.detail.run.rows[0]
            written = Pitch(int(row["wstep"]), int(row["walter"]), int(row["woctave"]))
            said = {"written": written.name, "pitch": _row_name(row)}
            same = fact.value["pc"] == wanted.pc % 12
            if same and wanted.midi is not None and wanted.midi not in fact.value["midis"]:
                if wanted.midi == written.midi:
                    return "bass-written", [speech.say("claim.pedal.written", **said)]
                return "octave-count", [speech.say("claim.pedal.octave", pitch=wanted.text)]
            if not same and written.midi % 12 == wanted.pc % 12 and held.degree == "right":
                return "untransposed", [speech.say("claim.pedal.written", **said)]
            for midi, said_of in one_note(scene.table, unit, fact.detail.run.rows):
                octave = wanted.midi is None or wanted.midi == midi
                if not same and octave and midi % 12 == wanted.pc % 12 and held.degree == "right":
                    return "clef", [said_of]
            german = wanted.text.strip()[:1].casefold() in ("b", "h") and fact.value["pc"] == 10
            if german and wanted.pc % 12 == 11:
                return "german-b", [speech.say("claim.pedal.german-b")]
    return None, []


# --- denials, evidence, words -------------------------------------------------


def _deny(
    scene: Scene, bound: Bound, facts: Mapping[Unit, list[Fact]], wanted: PitchName
) -> Judgement:
    inside = set(bound.bars.indices)
    tries = [_tries(own, wanted)[0] for own in facts.values()]
    true = frozenset(b for t in tries for b in t.true)
    notes = _notes(scene, bound, bound.units)
    hits = [f for t in tries for f in t.facts if f.bars & inside]
    sure = max((f.confidence for f in hits), default=1.0)
    found = deny(scene, bound, true, notes, evidence=notes, confidence=sure, judged=bool(hits))
    says = [s for u in bound.units for s in _is(scene, bound, u, facts[u], wanted)]
    return found.but(says=(*found.says, *says))


def _notes(scene: Scene, bound: Bound, units: Sequence[Unit]) -> tuple[Evidence, ...]:
    return tuple(e for u in units for e in proof.notes_or_rests(scene.table, u.lines, bound.bars))


def _says(
    scene: Scene, bound: Bound, held: Held, unit: Unit, facts: Sequence[Fact]
) -> list[Sentence]:
    said = _is(scene, bound, unit, facts, bound["pitch"])
    return [*said, *places_said(scene, bound, held, unit)]


def _is(
    scene: Scene, bound: Bound, unit: Unit, facts: Sequence[Fact], wanted: PitchName
) -> list[Sentence]:
    """The run that covers most of the claimed bars, or what the part plays instead."""
    inside = set(bound.bars.indices)
    here = [f for f in facts if f.bars & inside]
    here.sort(key=lambda f: (f.value["pc"] != wanted.pc % 12, -len(f.bars & inside)))
    if not here or (here[0].value["how"] == "short" and 2 * len(here[0].bars) < len(inside)):
        return [_moves(scene, bound, unit)]
    fact = here[0]
    if fact.tutor is not None:
        return [fact.tutor]
    over: Over = fact.detail
    words = harmony(scene.table).spelling
    chords = list(dict.fromkeys(words.words(c) for c in over.chords))
    params = {"part": unit.label, "pitch": _run_name(over.run)}
    if fact.value["how"] == "short":
        count = speech.number(round(scene.settings.pedal_min_bars))
        return [speech.say("claim.pedal.short", count=count, **params)]
    template = "claim.pedal.still" if fact.value["how"] == "still" else "claim.pedal.is"
    return [speech.say(template, chords=chords[:_NAMED] or "the same", **params)]


def _moves(scene: Scene, bound: Bound, unit: Unit) -> Sentence:
    table, bars = scene.table, bound.bars
    rows = proof.attacked(table, unit.lines, bars.start, bars.end)
    rows = rows[rows["pitch"] >= 0]
    where = speech.bars(table, bars.first, bars.last)
    if not len(rows):
        return speech.say("claim.rests", part=unit.label, bars=where)
    names = list(dict.fromkeys(_row_name(r) for r in rows))[:_NAMED]
    return speech.say("claim.pedal.moves", part=unit.label, pitches=names, bars=where)


def _run_name(run: Run) -> str:
    """ "C3", or "C" where octaves change."""
    row = run.rows[0]
    if len(set(run.rows["pitch"].tolist())) == 1:
        return _row_name(row)
    return spelled(int(row["step"]), int(row["alter"]))


def _row_name(row: Any) -> str:
    return Pitch(int(row["step"]), int(row["alter"]), int(row["octave"])).name


def _common(bound: Bound, held: Held) -> list[Sentence]:
    """A note that every chord holds, above the bass: named otherwise by some."""
    inside = set(bound.bars.indices)
    for attempt in held.tries.values():
        for fact in attempt.facts:
            over = fact.detail
            if over is None or not fact.bars & inside:
                continue
            if all(over.run.pc in c.classes for c in over.chords) and not _lowest(over):
                return [speech.say("claim.pedal.common", pitch=_run_name(over.run))]
    return []


def _lowest(over: Over) -> bool:
    return sum(c.bass % 12 == over.run.pc for c in over.chords) * 2 > len(over.chords)


def _truths(
    scene: Scene, bound: Bound, held: Held, facts: Mapping[Unit, list[Fact]]
) -> list[dict[str, Any]]:
    table, bars = scene.table, bound.bars
    base = bound.claim.as_json()
    found = narrower(scene, bound, held)
    for unit, own in facts.items():
        for fact in sorted(own, key=lambda f: -len(f.bars & set(bars.indices)))[:3]:
            run = stretch(fact.bars & set(bars.indices), bars)
            if run is not None and fact.detail is not None and fact.value["how"] == "long":
                value = {"pitch": _run_name(fact.detail.run), "bars": place_json(table, *run)}
                found.append({**base, **value, "parts": [part_json(table, unit)]})
    return [*found, {**base, "negated": True}]


KIND = Kind(
    name="pedal",
    says="a note held through changing harmony",
    form=Form((Field("pitch", PitchField(), required=True),)),
    judge=judge,
)
