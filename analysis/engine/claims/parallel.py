"""Parallel: two lines that move together in thirds, sixths or tenths, which is no doubling.

Facts are the runs of `analyses.parallel`, at the share of attacks that is full and at the one that
is near; more octaves between the lines (a third two octaves apart) are told bar by bar.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from analysis.engine.analyses.attacks import attacks
from analysis.engine.analyses.doubling import run_bars
from analysis.engine.analyses.parallel import (
    INTERVALS,
    LEAST_MOVES,
    MOVES,
    generic_steps,
    parallels,
)
from analysis.engine.analyses.runs import DOUBLED, pair_runs
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import WHERE_AND_WHO, Bound, Judgement, Kind, Scene
from analysis.engine.claims.facts import Fact, Try, stretch, stretches, truthful, with_tutor
from analysis.engine.claims.fields import Field, Form, Many, PartField, Word
from analysis.engine.claims.instead import instead
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.parallel_pairs import among_themselves, covered
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
from analysis.engine.sentences import register

register(
    {
        "claim.parallel.is": "{part} moves in {interval}s {side} {others} ({met} of {of} attacks).",
        "claim.parallel.said": "{part} and {others} move in {interval}s.",
        "claim.parallel.loosely": (
            "{part} moves in {interval}s with {others} for most of the way only "
            "({met} of {of} attacks)."
        ),
        "claim.parallel.still": (
            "{part} and {others} stand a {interval} apart and repeat their notes: "
            "they hardly move together."
        ),
        "claim.parallel.octaves": (
            "{part} and {others} are {interval}s and octaves apart: the interval is right, the "
            "distance is wider."
        ),
        "claim.parallel.doubles": "{part} doubles {others} {octaves} there.",
        "claim.parallel.other": "They move in {interval}s.",
    }
)

#: an octave more or less is the same interval: near (contract, "right class, wrong octave number")
_CLASS = {"third": 2, "tenth": 2, "sixth": 5}


def judge(scene: Scene, bound: Bound) -> Judgement:
    wanted = bound["interval"]
    others = list(dict.fromkeys(i for u in bound.named_units("with") for i in u.lines))
    facts = {unit: _facts(scene, bound, unit, others, wanted) for unit in bound.units}
    if bound.claim.negated:
        return _deny(scene, bound, facts, others)
    held = hold(scene, bound, {u: _tries(own, wanted) for u, own in facts.items()})
    if not held.all_right and (pairs := among_themselves(scene, bound)) is not None:
        return pairs
    says = [s for unit in bound.units for s in _says(scene, bound, held, unit, facts[unit])]
    octave_off = held.degree == "near" and "wrong" not in (held.place, held.parts, held.relation)
    return Judgement(
        place=held.place,
        parts=held.parts,
        relation=held.relation,
        degree=held.degree,
        evidence=_notes(scene, bound, [f for u in held.good for f in held.tries[u].facts]),
        contrary=against(scene, bound, held, others),
        says=tuple(says),
        notes=goes_on(scene, bound, held) if held.all_right else (),
        truth=tuple(_truths(scene, bound, held, facts)),
        cause="octave-count" if octave_off else None,
    )


# --- facts --------------------------------------------------------------------


def _facts(
    scene: Scene, bound: Bound, unit: Unit, others: Sequence[int], wanted: str
) -> list[Fact]:
    """Parallels of the unit's lines with the others: exact, loose, and with octaves between."""
    found: list[Fact] = []
    for line in unit.lines:
        for other in others:
            if other != line and other not in unit.lines:
                found += _pair(scene, line, other, wanted)
    return found


def _pair(scene: Scene, line: int, other: int, wanted: str) -> list[Fact]:
    table, settings = scene.table, scene.settings
    loose = replace(settings, parallel_full=settings.parallel_near)
    facts = []
    for how, at, moves in (("full", settings, 1), ("near", loose, MOVES)):
        for run in parallels(table, line, other, at, moves=moves):
            # A claim may be about a stretch that moves little; notes merely repeated are near.
            told = "still" if run.pitches < LEAST_MOVES else how
            value = {"interval": run.interval, "how": told}
            bars = frozenset(range(run.first, run.last + 1))
            facts.append(Fact(covered(scene, run, bars), value, (line, other), detail=run))
    wide = _wide_bars(scene, line, other, _CLASS[wanted])
    if wide:
        facts.append(Fact(wide, {"interval": wanted, "how": "wide"}, (line, other)))
    return with_tutor(facts, scene, "parallel", (line, other), of=_of_tutor)


def _of_tutor(value: Mapping[str, Any]) -> dict[str, Any]:
    return {"interval": value.get("interval"), "how": "full"}


def _wide_bars(scene: Scene, line: int, other: int, steps: int) -> frozenset[int]:
    """Bars in which all attacks of both lines are this interval, octaves more between them."""
    table = scene.table
    grid = attacks(table)
    gap = np.abs(generic_steps(table)[line] - generic_steps(table)[other])
    both = grid.attacked[line] & grid.attacked[other]
    hit = both & (gap % 7 == steps) & (gap > max(s for s, _ in INTERVALS.values()))
    either = grid.attacked[line] | grid.attacked[other]
    size = len(table.bars)
    count = np.bincount(grid.bar[either], minlength=size)
    met = np.bincount(grid.bar[hit], minlength=size)
    full = np.flatnonzero((count > 0) & (met >= scene.settings.parallel_full * count))
    runs = [r for r in stretches(full.tolist())
            if met[r[0] : r[1] + 1].sum() >= scene.settings.doubling_min_met]  # fmt: skip
    return frozenset(b for first, last in runs for b in range(first, last + 1))


def _tries(facts: Sequence[Fact], wanted: str) -> list[Try]:
    exact, own = truthful(facts, lambda v: v["interval"] == wanted and v["how"] == "full")
    loosely, most = truthful(facts, lambda v: v["interval"] == wanted and v["how"] != "wide")
    octave, wide = truthful(
        facts,
        lambda v: _CLASS.get(str(v["interval"])) == _CLASS[wanted] and v["how"] in ("full", "wide"),
    )
    return [
        Try(exact, facts=own),
        Try(loosely, "near", facts=most),
        Try(octave, degree="near", facts=wide),
    ]


# --- denials, evidence, words -------------------------------------------------


def _deny(
    scene: Scene, bound: Bound, facts: Mapping[Unit, list[Fact]], others: Sequence[int]
) -> Judgement:
    bars, wanted = bound.bars, bound["interval"]
    tries = [t for own in facts.values() for t in _tries(own, wanted)[:2]]
    exact = frozenset(b for t in tries[::2] for b in t.true)
    loose = frozenset(b for t in tries[1::2] for b in t.true)
    clear = bool(exact & set(bars.indices))
    shown = [f for t in (tries[::2] if clear else tries[1::2]) for f in t.facts]
    lines = sorted({*others, *(i for u in bound.units for i in u.lines)})
    found = deny(
        scene,
        bound,
        exact if clear else loose,
        _notes(scene, bound, shown),
        unclear=not clear,
        evidence=proof.notes_or_rests(scene.table, lines, bars),
    )
    if found.all_right:
        return found.but(says=(*found.says, *instead(scene, bound)))
    said = [s for u in bound.units for s in _is(scene, bound, u, facts[u], wanted)]
    return found.but(says=(*found.says, *said))


def _notes(scene: Scene, bound: Bound, facts: Sequence[Fact]) -> tuple[Evidence, ...]:
    """The met notes of both lines within the claimed bars."""
    table, bars = scene.table, bound.bars
    found: list[Evidence] = []
    for fact in [f for f in facts if f.bars & set(bars.indices)][:4]:
        for line in fact.lines:
            rows = proof.attacked(table, [line], bars.start, bars.end)
            if fact.detail is not None:
                rows = rows[np.isin(rows["onset"], fact.detail.at)]
            found += proof.notes(table, rows)
    return tuple(dict.fromkeys(found))


def _says(
    scene: Scene, bound: Bound, held: Held, unit: Unit, facts: Sequence[Fact]
) -> list[Sentence]:
    verdict, attempt = held.verdicts[unit], held.tries[unit]
    if "wrong" not in verdict[1:]:
        said = _is(scene, bound, unit, attempt.facts, bound["interval"])
        return [*said, *places_said(scene, bound, held, unit)]
    doubled = _doubles(scene, bound, unit)
    alone = replace(bound, parts=tuple(replace(n, units=(unit,)) for n in bound.parts[:1]))
    return doubled or instead(scene, alone)


def _is(
    scene: Scene, bound: Bound, unit: Unit, facts: Sequence[Fact], wanted: str
) -> list[Sentence]:
    """The fact that covers most of the claimed bars (else the nearest), in words."""
    inside = set(bound.bars.indices)
    order = ("full", "near", "still", "wide")
    ranked = sorted(
        facts,
        key=lambda f: (-len(f.bars & inside), f.value["interval"] != wanted,
                       order.index(f.value["how"])),
    )  # fmt: skip
    if not ranked:
        return []
    fact, run = ranked[0], ranked[0].detail
    others = speech.line_names(scene.table, [i for i in fact.lines if i not in unit.lines])
    both = {"part": unit.label, "others": others, "interval": fact.value["interval"]}
    if fact.tutor:
        return [speech.say("claim.parallel.said", **both), fact.tutor]
    if fact.value["how"] == "wide":
        return [speech.say("claim.parallel.octaves", **both)]
    if fact.value["how"] == "still":
        return [speech.say("claim.parallel.still", **both)]
    counts = {"met": run.met, "of": max(run.of_upper, run.of_lower)}
    if fact.value["how"] == "near":
        return [speech.say("claim.parallel.loosely", **both, **counts)]
    side = "above" if run.upper in unit.lines else "below"
    return [speech.say("claim.parallel.is", side=side, **both, **counts)]


def _doubles(scene: Scene, bound: Bound, unit: Unit) -> list[Sentence]:
    """ "Fl doubles Vl I one octave higher there", where it does that instead."""
    for line in unit.lines:
        for other in (i for u in bound.named_units("with") for i in u.lines if i != line):
            for run in pair_runs(scene.table, line, other, scene.settings):
                if run.coverage in DOUBLED and set(run_bars(scene.table, run)) & set(
                    bound.bars.indices
                ):
                    octaves = run.octaves if run.a == line else -run.octaves
                    return [
                        speech.say(
                            "claim.parallel.doubles",
                            part=unit.label,
                            others=speech.line_names(scene.table, [other]),
                            octaves=speech.octaves(octaves),
                        )
                    ]
    return []


def _truths(
    scene: Scene, bound: Bound, held: Held, facts: Mapping[Unit, list[Fact]]
) -> list[dict[str, Any]]:
    table, bars = scene.table, bound.bars
    base = bound.claim.as_json()
    found = narrower(scene, bound, held)
    for unit, own in facts.items():
        full = [f for f in own if f.value["how"] == "full"]
        full.sort(key=lambda f: -len(f.bars & set(bars.indices)))
        for fact in full[:2]:
            run = stretch(fact.bars & set(bars.indices) or fact.bars, bars)
            if run:
                value = {"interval": fact.value["interval"], "bars": place_json(table, *run)}
                found.append({**base, **value, "parts": [part_json(table, unit)]})
    double = {k: v for k, v in base.items() if k != "interval"}
    return [*found, {**double, "kind": "doubling"}, {**base, "negated": True}]


KIND = Kind(
    name="parallel",
    says="parts in parallel thirds or sixths",
    form=Form(
        (
            Field("with", Many(PartField(), least=1), required=True),
            Field("interval", Word(("third", "sixth", "tenth")), required=True),
        )
    ),
    judge=judge,
    part_fields=("with",),
    readings=WHERE_AND_WHO
    | {"bass-written", "old-bass-clef", "cello-treble", "untransposed", "clef"},
)
