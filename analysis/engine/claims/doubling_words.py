"""What is said about doublings: the fact, its place, who else goes along."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from analysis.engine.analyses.doubling import run_bars
from analysis.engine.analyses.runs import DOUBLED, pair_runs
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Scene, Verdict
from analysis.engine.claims.facts import Fact, Try, stretch, stretches
from analysis.engine.model import ScoreTable, Sentence
from analysis.engine.names import Unit
from analysis.engine.sentences import register

register(
    {
        "claim.doubling.is": "{part} doubles {others} {octaves}.",
        "claim.doubling.is.partly": (
            "{part} doubles {others} {octaves} in part ({met} of {of} notes)."
        ),
        "claim.doubling.is.simplified": "{part} plays a simpler version of {others}, {octaves}.",
        "claim.doubling.is.heterophonic": (
            "{part} plays the plain line that {others} decorates, {octaves}."
        ),
        "claim.doubling.is.decorated": (
            "{part} plays more notes of a line that {others} plays more simply, {octaves}."
        ),
        "claim.doubling.is.reinforcement": (
            "{part} only picks out some notes of {others} ({met} of {of})."
        ),
        "claim.doubling.not": "{part} does not double {others} there.",
        "claim.doubling.nowhere": "{parts} double {others} nowhere in {bars}.",
        "claim.doubling.nowhere.one": "{parts} doubles {others} nowhere in {bars}.",
        "claim.doubling.rests": "{part} rests there.",
        "claim.doubling.meets": "{part} and {others} only meet on {met} of {of} notes.",
        "claim.doubling.nearly": "It leaves out a few notes ({met} of {of} are met).",
        "claim.doubling.flips": "The distance changes on the way: {octaves}.",
        "claim.doubling.also": "{parts} go with them as well.",
        "claim.doubling.also.one": "{parts} goes with them as well.",
        "claim.doubling.nobody": "Nobody doubles {parts} in {bars}.",
        "claim.doubling.somebody": "{others} doubles {part} in {bars}.",
        "claim.doubling.a2": "Its two players are in unison, which is no doubling by another part.",
        "claim.doubling.distance": "The right lines; the distance is another: {octaves}.",
    }
)


def say_fact(scene: Scene, bound: Bound, unit: Unit, facts: Sequence[Fact]) -> Sentence | None:
    """The fact that covers most of the claimed bars, in words."""
    inside = set(bound.bars.indices)
    here = [f for f in facts if f.bars & inside]
    if not here:
        return None
    fact = max(here, key=lambda f: (len(f.bars & inside), f.value["coverage"] in DOUBLED))
    run = fact.detail
    params: dict[str, Any] = {
        "part": unit.label,
        "others": speech.line_names(scene.table, [fact.lines[1]]),
        "octaves": speech.octaves(fact.value.get("octaves"), bound["direction"]),
    }
    if run is not None:
        params |= {"met": run.met, "of": max(run.of_a, run.of_b)}
    template = {
        "partial": "claim.doubling.is.partly" if run is not None else "claim.doubling.is",
        "simplified": "claim.doubling.is.simplified",
        "heterophonic": "claim.doubling.is.heterophonic",
        "reinforcement": "claim.doubling.is.reinforcement"
        if run is not None
        else "claim.doubling.is",
    }.get(fact.value["coverage"], "claim.doubling.is")
    two_versions = fact.value["coverage"] in ("simplified", "heterophonic")
    if two_versions and not fact.value.get("plain", True):
        template = "claim.doubling.is.decorated"
    return speech.say(template, **params)


def say_pairs(
    scene: Scene,
    bound: Bound,
    tries: Mapping[Unit, Try],
    verdicts: Sequence[tuple[Verdict, Verdict, Verdict]],
    facts: Mapping[Unit, Sequence[Fact]],
) -> tuple[Sentence, ...]:
    table, bars = scene.table, bound.bars
    says: list[Sentence] = []
    others = speech.people(table, bound.named_units("with"))
    for (unit, attempt), verdict in zip(tries.items(), verdicts, strict=True):
        said = say_fact(scene, bound, unit, attempt.facts) or say_fact(
            scene, bound, unit, facts[unit]
        )
        if said is None:
            sounding = proof.bars_sounding(table, unit.lines) & set(bars.indices)
            template = "claim.doubling.not" if sounding else "claim.doubling.rests"
            said = speech.say(template, part=unit.label, others=others)
        says.append(said)
        if verdict[0] != "right":
            says.append(where_true(table, attempt.true, bound))
    tutor = [f.tutor for t in tries.values() for f in t.facts if f.tutor]
    return (*_unique(says), *_unique(tutor))


def _unique(sentences: Iterable[Sentence]) -> list[Sentence]:
    found: dict[str, Sentence] = {}
    for sentence in sentences:
        found.setdefault(speech.render(sentence), sentence)
    return list(found.values())


def where_true(table: ScoreTable, true: frozenset[int], bound: Bound) -> Sentence:
    """The true span beside the claimed one."""
    bars = bound.bars
    claimed = speech.bars(table, bars.first, bars.last)
    inside = true & set(bars.indices)
    run = stretch(true, bars)
    if run is None:
        return speech.say("claim.place.nowhere")
    runs = [s for s in stretches(true) if s[0] <= bars.last and s[1] >= bars.first] or [run]
    where = [speech.bars(table, *s) for s in runs]
    template = "claim.place.true" if inside else "claim.place.elsewhere"
    return speech.say(template, claimed=claimed, bars=where)


def further(
    scene: Scene, bound: Bound, judgement: Judgement, tries: Mapping[Unit, Try]
) -> tuple[Sentence, ...]:
    """What else is worth saying beside a right doubling."""
    if judgement.any_wrong:
        return ()
    table, bars = scene.table, bound.bars
    notes: list[Sentence] = []
    common = frozenset.intersection(*(t.true for t in tries.values()))
    if judgement.place == "right" and common:
        notes += speech.place_note(table, stretch(common, bars), bars.first, bars.last)
    inside = set(bars.indices)
    facts = [f for t in tries.values() for f in t.facts if f.bars & inside]
    for fact in facts:
        run = fact.detail
        if run is not None and fact.value["coverage"] == "noted":
            notes.append(
                speech.say("claim.doubling.nearly", met=run.met, of=max(run.of_a, run.of_b))
            )
            break
    distances = sorted({f.value["octaves"] for f in facts if not f.value.get("flips")
                        and f.value.get("octaves") is not None})  # fmt: skip
    flips = [f for f in facts if f.value.get("flips")]
    if bound["octaves"] is None and (len(distances) > 1 or (flips and not distances)):
        shown = distances or sorted({f.value["octaves"] for f in flips})
        notes.append(speech.say("claim.doubling.flips", octaves=[speech.octaves(d) for d in shown]))
    if judgement.all_right and (also := _also(scene, bound)):
        notes.append(speech.say("claim.doubling.also", parts=also))
    return tuple(_unique(notes))


def _also(scene: Scene, bound: Bound) -> list[str]:
    """Other parts that double the same lines fully in all claimed bars: told, never counted."""
    table, inside = scene.table, set(bound.bars.indices)
    named = {u.part for u in (*bound.units, *bound.named_units("with"))}
    theirs = [i for u in bound.named_units("with") for i in u.lines]
    found = []
    for line in table.lines:
        if line.part in named or not inside <= proof.bars_sounding(table, [line.index]):
            continue
        runs = [
            run
            for other in theirs
            for run in pair_runs(table, line.index, other, scene.settings)
            if run.coverage in ("full", "noted")
        ]
        if inside <= {bar for run in runs for bar in run_bars(table, run)}:
            found.append(line.name)
    return found
