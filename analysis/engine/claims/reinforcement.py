"""Reinforcement: only some notes of a line are supported, by pitch or by attack alone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from analysis.engine.analyses.attacks import NONE, attacks, memo
from analysis.engine.analyses.runs import Run, pair_runs
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import WHERE_AND_WHO, Bound, Judgement, Kind, Scene, Verdict
from analysis.engine.claims.facts import (
    Fact,
    Try,
    best_try,
    combine_units,
    stretch,
    stretches,
    with_tutor,
)
from analysis.engine.claims.fields import Field, Form, Many, Number, PartField, Text, Word
from analysis.engine.claims.naming import part_json, place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.reinforcement_words import By, Support, say_support, without_support
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import Evidence, Sentence
from analysis.engine.names import Unit


def supports(
    scene: Scene, unit: Unit, others: Sequence[Unit], bars: Iterable[int]
) -> dict[int, Support]:
    """What the unit supports of the others' lines taken together, bar by bar."""
    grid = attacks(scene.table)
    theirs = list(dict.fromkeys(i for u in others for i in u.lines if i not in unit.lines))
    found = {}
    for bar in bars:
        b = scene.table.bars[bar]
        inside = [k for k in range(*grid.onset.searchsorted((b.start, b.end)).tolist())]
        of, pitch, accent, own = set(), set(), set(), 0
        for k in inside:
            mine = _classes(grid.layers, unit.lines, k)
            own += bool(mine)
            yours = _classes(grid.layers, theirs, k)
            if yours:
                tick = int(grid.onset[k])
                of.add(tick)
                if mine:
                    accent.add(tick)
                if mine & yours:
                    pitch.add(tick)
        found[bar] = Support(frozenset(of), frozenset(pitch), frozenset(accent), own)
    return found


def _classes(layers: Sequence[Any], lines: Iterable[int], k: int) -> set[int]:
    return {int(row[k]) % 12 for i in lines for row in layers[i] if row[k] != NONE}


def judge(scene: Scene, bound: Bound) -> Judgement:
    bars, by = bound.bars, bound["by"]
    others = bound.named_units("with")
    _check_notes(scene, bound)
    movement = range(
        max(bound.movement.first_bar, bars.first - 16),
        min(bound.movement.last_bar, bars.last + 16) + 1,
    )
    seen = {unit: supports(scene, unit, others, movement) for unit in bound.units}
    tries: dict[Unit, list[Try]] = {}
    for unit, own in seen.items():
        exact = _exact(scene, bound, unit, own, by)
        other = _exact(scene, bound, unit, own, "accent" if by == "pitch" else "pitch")
        some = frozenset(b for b, s in own.items() if s.some(by))
        some |= {b for run in _runs(scene, unit, others, by) for b in _bars_of(run)}
        some = frozenset(b for b in some if b not in own or _on_some(scene, bound, b, own[b], by))
        tries[unit] = [Try(exact), Try(other, relation="near"), Try(some, degree="near")]
    if bound.claim.negated:
        true = frozenset(b for own in tries.values() for b in own[0].true)
        shown = tuple(e for u in bound.units for e in _notes(scene, bound, u, seen[u], by))
        played = tuple(
            e
            for u in (*bound.units, *others)
            for e in proof.playing_or_rests(scene.table, u.lines, bars.first, bars.last)
        )
        return deny(scene, bound, true, shown, evidence=played)
    best = {u: best_try(own, bars, scene.settings) for u, own in tries.items()}
    verdicts: list[tuple[Verdict, Verdict, Verdict]] = []
    for attempt in best.values():
        if attempt.true & set(bars.indices):
            place = attempt.place(bars, scene.settings)
            verdicts.append((place, attempt.relation, attempt.degree))
        else:
            verdicts.append(("right", "wrong", "right"))
    place, parts, relation, degree = combine_units(verdicts)
    evidence = tuple(e for u in bound.units for e in _notes(scene, bound, u, seen[u], by))
    contrary = tuple(e for u in bound.units for e in _against(scene, bound, u, others, best[u]))
    runs = {u: _runs(scene, u, others, by) for u in bound.units}
    says = [
        s
        for u in bound.units
        for s in say_support(scene, bound, u, seen[u], by, best[u].true, runs[u])
    ]
    notes: list[Sentence] = []
    if by == "accent" and any(s.pitch for own in seen.values() for b, s in own.items()
                              if b in bars.indices):  # fmt: skip
        notes.append(speech.say("claim.reinforcement.also"))
    if place == relation == degree == "right" and parts != "wrong":
        notes += [n for u in bound.units for n in without_support(scene, bound, seen[u], by)]
    if "wrong" not in (place, parts, relation, degree):
        common = frozenset.intersection(*(t.true for t in best.values()))
        run = stretch(common, bars) if common else None
        if set(bars.indices) <= common:
            notes += speech.place_note(scene.table, run, bars.first, bars.last)
    return Judgement(
        place=place,
        parts=parts,
        relation=relation,
        degree=degree,
        evidence=evidence,
        contrary=contrary,
        says=tuple(says),
        notes=tuple(notes),
        truth=_truths(scene, bound, best, seen, by),
    )


def _check_notes(scene: Scene, bound: Bound) -> None:
    """Named notes must be notes of `with` in the claimed bars."""
    if not bound["notes"]:
        return
    onsets, bars = _onsets(scene), bound.bars
    strange = [i for i in bound["notes"] if i not in onsets]
    if strange or not any(bars.start <= onsets[i] < bars.end for i in bound["notes"]):
        raise ClaimNotUnderstood("The notes named do not lie in these bars; mark them again.")
    theirs = {i for unit in bound.named_units("with") for i in unit.lines}
    ids = scene.table.ids
    own = {ids[src] for line in theirs for src in scene.table.by_line[line]["src"].tolist()}
    if not set(bound["notes"]) <= own:
        names = " and ".join(speech.people(scene.table, bound.named_units("with")))
        raise ClaimNotUnderstood(f"The notes named are none of {names}; mark the ones supported.")


def _exact(
    scene: Scene, bound: Bound, unit: Unit, own: dict[int, Support], by: By
) -> frozenset[int]:
    """Bars in which exactly the notes claimed are supported, with the tutor's word."""
    true = frozenset(b for b, s in own.items() if _as_claimed(scene, bound, b, s, by))
    here = [own[b] for b in bound.bars.indices if b in own]
    if all(s.by(by) == s.of for s in here):
        true = frozenset()  # that is a doubling, not a reinforcement
    lines = (*unit.lines, *(i for u in bound.named_units("with") for i in u.lines))
    told = {
        b
        for run in _runs(scene, unit, bound.named_units("with"), by)
        if _run_as_claimed(scene, bound, run, own)
        for b in _bars_of(run)
    }
    facts = with_tutor(
        [Fact(true | told, {}, lines)], scene, "reinforcement", lines, of=lambda v: {}
    )
    return frozenset(b for f in facts for b in f.bars)


def _as_claimed(scene: Scene, bound: Bound, bar: int, seen: Support, by: By) -> bool:
    met = seen.by(by)
    if bound["notes"]:
        # Naming fewer notes than are supported is right, naming others is not.
        onsets = _onsets(scene)
        wanted = {onsets[i] for i in bound["notes"] if i in onsets} & seen.of
        return wanted <= met
    if not met or 2 * len(met) < seen.own:
        return False
    if bound["beats"]:
        claimed = _ticks_of_beats(scene, bound, bar) & seen.of
        return bool(claimed) and claimed == met
    return seen.some(by)


def _on_some(scene: Scene, bound: Bound, bar: int, seen: Support, by: By) -> bool:
    """Whether one of the claimed beats is supported: other beats of the bar are not nearly it."""
    claimed = _ticks_of_beats(scene, bound, bar) if bound["beats"] else set()
    return not claimed or bool(claimed & seen.by(by))


def _ticks_of_beats(scene: Scene, bound: Bound, bar: int) -> set[int]:
    """Moments of the claimed beats in one bar; a short upbeat counts back from its end."""
    b = scene.table.bars[bar]
    upbeat = max(b.beats * b.beat_ticks - b.length, 0) if b.implicit and b.beats else 0
    return {round(b.start + (beat - 1) * b.beat_ticks) - upbeat for beat in bound["beats"]}


def _runs(scene: Scene, unit: Unit, others: Sequence[Unit], by: By) -> list[Run]:
    """Runs in which a line of the unit reinforces one of the others: the facts of the analysis.

    A run's bars are all true, those between two supported notes as well: the fact holds
    throughout, and a claimed bar is true if a fact covers it (contract, "When a claim holds").
    """
    if by != "pitch":
        return []
    theirs = dict.fromkeys(i for u in others for i in u.lines if i not in unit.lines)
    return [
        run
        for line in unit.lines
        for other in theirs
        for run in pair_runs(scene.table, line, other, scene.settings)
        if run.coverage == "reinforcement" and line == (run.b if run.of_a > run.of_b else run.a)
    ]


def _bars_of(run: Run) -> range:
    return range(run.first, run.last + 1)


def _run_as_claimed(scene: Scene, bound: Bound, run: Run, own: dict[int, Support]) -> bool:
    """Whether the notes supported in a run are those claimed."""
    met = set(run.at.tolist())
    if bound["notes"]:
        onsets, bars = _onsets(scene), bound.bars
        wanted = {onsets[i] for i in bound["notes"] if i in onsets}
        return {t for t in wanted if bars.start <= t < bars.end} <= met
    if bound["beats"]:
        in_bar = {b: met & own[b].of for b in _bars_of(run) if b in own}
        return all(
            not here or here == _ticks_of_beats(scene, bound, b) & own[b].of
            for b, here in in_bar.items()
        )
    return True


def _onsets(scene: Scene) -> dict[str, int]:
    """Onset of every note id that begins a sound."""
    table = scene.table
    return memo(
        table,
        "_onset_of_id",
        lambda: {
            table.ids[src]: onset
            for src, onset in zip(
                table.notes["src"].tolist(), table.notes["onset"].tolist(), strict=True
            )
        },
    )


def _notes(
    scene: Scene, bound: Bound, unit: Unit, seen: dict[int, Support], by: By
) -> tuple[Evidence, ...]:
    """Supporting and supported notes in the claimed bars."""
    table, bars = scene.table, bound.bars
    at = {t for b in bars.indices if b in seen for t in seen[b].by(by)}
    lines = [*unit.lines, *(i for u in bound.named_units("with") for i in u.lines)]
    rows = proof.attacked(table, lines, bars.start, bars.end)
    return proof.notes(table, rows[[int(t) in at for t in rows["onset"]]])


def _against(
    scene: Scene, bound: Bound, unit: Unit, others: Sequence[Unit], attempt: Try
) -> tuple[Evidence, ...]:
    table = scene.table
    found: list[Evidence] = []
    right = attempt.relation == attempt.degree == "right"
    missing = set(bound.bars.indices) - (attempt.true if right else frozenset())
    for first, last in stretches(missing):
        found += proof.playing_or_rests(table, unit.lines, first, last)
        lines = [i for u in others for i in u.lines]
        start, end = table.bars[first].start, table.bars[last].end
        found += proof.notes(table, proof.rows_of(table, lines, start, end))
    return tuple(found)


def _truths(
    scene: Scene,
    bound: Bound,
    best: dict[Unit, Try],
    seen: dict[Unit, dict[int, Support]],
    by: By,
) -> tuple[dict[str, Any], ...]:
    table, bars = scene.table, bound.bars
    base = bound.claim.as_json()
    found = []
    for unit, attempt in best.items():
        run = stretch(attempt.true & set(bars.indices), bars)
        if run is None:
            continue
        value = {**base, "parts": [part_json(table, unit)], "bars": place_json(table, *run)}
        found.append(value)
        other = "accent" if by == "pitch" else "pitch"
        for way in (by, other):
            at = {t for b in range(run[0], run[1] + 1) for t in seen[unit][b].by(way)}
            lines = [i for u in bound.named_units("with") for i in u.lines]
            rows = proof.attacked(table, lines, table.bars[run[0]].start, table.bars[run[1]].end)
            ids = table.note_ids(rows[[int(t) in at for t in rows["onset"]]])
            if ids:
                told = {k: v for k, v in value.items() if k != "beats"}
                found.append({**told, "by": way, "notes": ids[:100]})
    full = {
        "kind": "doubling", "movement": base["movement"], "bars": base.get("bars"),
        "parts": base["parts"], "with": base["with"],
    }  # fmt: skip
    found.append(full)
    found.append({**base, "negated": True})
    return tuple(found)


KIND = Kind(
    name="reinforcement",
    says="a part that supports only some notes of another",
    form=Form(
        (
            Field("with", Many(PartField(), least=1), required=True),
            Field("notes", Many(Text(40), most=400)),
            Field("beats", Many(Number(), most=32)),
            Field("by", Word(("pitch", "accent")), required=True),
        )
    ),
    judge=judge,
    part_fields=("with",),
    readings=WHERE_AND_WHO | {"untransposed"},
)
