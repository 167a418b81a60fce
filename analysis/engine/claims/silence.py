"""Silence: nobody sounds, to the beat."""

from __future__ import annotations

import numpy as np

from analysis.engine import places
from analysis.engine.analyses import spans
from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.speech import beat as beat_words
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bars, Bound, Judgement, Scene
from analysis.engine.claims.facts import place_verdict, stretches
from analysis.engine.claims.naming import pause_json, place_json
from analysis.engine.claims.negation import deny
from analysis.engine.claims.unique import not_alone
from analysis.engine.model import NoteArray, ScoreTable, Sentence
from analysis.engine.sentences import register

register(
    {
        "claim.playing.paused": "Nobody sounds in {where}.",
        "claim.playing.from-to": "The silence lasts for {where}, no longer.",
        "claim.playing.many": "{count} parts sound there.",
        "claim.playing.many.else": "Otherwise {count} parts sound there.",
        "claim.beats.one": "bar {first}, beats {from_beat} to {to_beat}",
        "claim.beats.single": "bar {first}, beat {from_beat}",
        "claim.beats.many": "bar {first}, beat {from_beat} to bar {last}, beat {to_beat}",
    }
)

#: parts named one by one where silence was claimed; more are counted
NAMED = 4


def judge_silence(scene: Scene, bound: Bound) -> Judgement:
    """Nobody sounds where it is claimed.

    A claim holds where a pause covers all of it. One that names bars and no beats also holds
    where it names just the bars of a general pause (contract, "Occurrences": one lies within
    the claimed bars, and these are no more than `occurrence_bars`): a pause of a beat or more,
    with notes on both sides, that begins and ends within them and touches each; a note then
    gives its beats. A bar of which a pause that goes on outside the claim takes a part only is
    near: half of it sounds, and no fact "begins or ends in it" there and covers its attacks.
    """
    table, bars = scene.table, bound.bars
    rows = proof.rows_of(table, range(len(table.lines)), bars.start, bars.end)
    pauses = silences(table, bound.movement.first_bar, bound.movement.last_bar)
    inside = [p for p in pauses if p[0] < bars.end and p[1] > bars.start]
    whole = any(a <= bars.start and b >= bars.end for a, b in inside)
    true = frozenset(bars.indices) if whole else _true_bars(scene, bound, inside)
    parts = sorted({line.part for line in table.lines})
    rests = tuple(proof.rests(table, p, bars.first, bars.last) for p in parts)
    if bound.claim.negated:
        return deny(scene, bound, true, rests, evidence=proof.notes(table, rows) or rests)
    verdict = place_verdict(true, bars, scene.settings)
    beat = table.bars[bars.first].beat_ticks
    told = [(a, b) for a, b in inside if min(b, bars.end) - max(a, bars.start) >= beat]
    share = sum(min(b, bars.end) - max(a, bars.start) for a, b in told)
    enough = share >= scene.settings.near_share * (bars.end - bars.start)
    if verdict == "wrong" and told and (enough or len(bars) == 1):
        verdict = "near"  # by time, where bars are silent in part; or a pause in the one bar named
    right, near = verdict == "right", verdict == "near"
    base = bound.claim.as_json()
    truths = [{**base, "bars": pause_json(table, a, b), "unique": False} for a, b in told]
    for a, b in sorted(pauses, key=lambda p: abs(p[0] - bars.start)):
        if covered := _filled(table, a, b):
            place = place_json(table, covered[0], covered[-1])
            truths.append({**base, "bars": place, "unique": False})
            break
    judgement = Judgement(
        place="near" if near else "right",
        relation="right" if right or near else "wrong",
        evidence=rests if right or near else (),
        contrary=proof.notes(table, rows),
        says=_says(table, bound, whole, right, told, rows),
        notes=_notes(table, bound, whole, inside if whole else told) if right else (),
        truth=tuple(truths),
    )
    if not (bound["unique"] and judgement.all_right):
        return judgement
    others = [p for p in pauses if p not in inside]
    return _unique(table, bound, judgement, others, filled=whole)


def _true_bars(scene: Scene, bound: Bound, pauses: list[tuple[int, int]]) -> frozenset[int]:
    """Claimed bars that are silent, or that a general pause within the claim touches."""
    table, bars = scene.table, bound.bars
    found = {bar for a, b in pauses for bar in _filled(table, a, b)} & set(bars.indices)
    if len(bars) > scene.settings.occurrence_bars or _names_beats(table, bars):
        return frozenset(found)
    first, last = bound.movement.first_bar, bound.movement.last_bar
    ends = {table.bars[first].start, table.bars[last].end}
    touched = set(found)
    for a, b in pauses:
        within = a >= bars.start and b <= bars.end and not {a, b} & ends
        if within and b - a >= table.bars[bars.first].beat_ticks:
            touched |= set(range(places.bar_at(table, a), places.bar_at(table, b - 1) + 1))
    return frozenset(touched if touched == set(bars.indices) else found)


def _names_beats(table: ScoreTable, bars: Bars) -> bool:
    return (bars.start, bars.end) != (table.bars[bars.first].start, table.bars[bars.last].end)


def _says(
    table: ScoreTable,
    bound: Bound,
    whole: bool,
    right: bool,
    told: list[tuple[int, int]],
    rows: NoteArray,
) -> tuple[Sentence, ...]:
    """Where nobody sounds; else who does, a few of them by name."""
    if whole:
        where = speech.bars(table, bound.bars.first, bound.bars.last)
        return (speech.say("claim.playing.silence", bars=where),)
    paused = tuple(speech.say("claim.playing.paused", where=beats_said(table, *p)) for p in told)
    if right:
        return paused
    names = speech.line_names(table, dict.fromkeys(int(r) for r in rows["line"]))
    if len(names) > NAMED:
        template = "claim.playing.many.else" if paused else "claim.playing.many"
        return (*paused, speech.say(template, count=len(names)))
    return (*paused, speech.say("claim.playing.sounds", parts=names))


def _notes(
    table: ScoreTable, bound: Bound, whole: bool, pauses: list[tuple[int, int]]
) -> tuple[Sentence, ...]:
    """How long the silence is: shorter than the claimed bars, or longer."""
    if not whole:
        where = [beats_said(table, a, b) for a, b in pauses]
        return (speech.say("claim.playing.from-to", where=where),)
    a, b = next(p for p in pauses if p[0] <= bound.bars.start and p[1] >= bound.bars.end)
    reach = (places.bar_at(table, a), places.bar_at(table, b - 1))
    return tuple(speech.place_note(table, reach, bound.bars.first, bound.bars.last))


def beats_said(table: ScoreTable, start: int, end: int) -> speech.Phrase:
    """From which beat to which a pause lasts; a beat is left out at the ends of bars."""
    first, last = places.bar_at(table, start), places.bar_at(table, end - 1)
    a, b = table.bars[first], table.bars[last]
    if a.start == start and b.end == end:
        return speech.bars(table, first, last)
    params = {
        "first": places.label(table, first),
        "last": places.label(table, last),
        "from_beat": beat_words(a, start),
        "to_beat": beat_words(b, end - 1, floor=True),
    }
    within = "one" if first == last else "many"
    if first == last and params["from_beat"] == params["to_beat"]:
        within = "single"
    return speech.phrase(f"claim.beats.{within}", **params)


def _unique(
    table: ScoreTable,
    bound: Bound,
    judgement: Judgement,
    others: list[tuple[int, int]],
    *,
    filled: bool,
) -> Judgement:
    """Another such place is as silent: whole bars against whole bars, else a beat and more.

    A pause within a bar does not take the only silent bar's place; it goes into the note.
    """
    bars = bound.bars
    beat = table.bars[bars.first].beat_ticks
    first, last = bound.movement.first_bar, bound.movement.last_bar
    ends = {table.bars[first].start, table.bars[last].end}  # a pause has notes on both sides
    others = [p for p in others if not ends & set(p)]
    pauses = [(_bar_at(table, a), _bar_at(table, b - 1)) for a, b in others if b - a >= beat]
    if not filled or _names_beats(table, bars):
        return not_alone(table, bound, judgement, pauses)
    whole = [s for a, b in others for s in stretches(_filled(table, a, b))]
    if whole or not pauses:
        return not_alone(table, bound, judgement, whole)
    said = speech.say("claim.playing.shorter", bars=[speech.bars(table, *s) for s in pauses[:3]])
    return judgement.but(notes=(*judgement.notes, said))


def _filled(table: ScoreTable, start: int, end: int) -> list[int]:
    """Bars that lie wholly between two moments."""
    first = int(np.searchsorted(table.bar_starts(), start))
    found = []
    for bar in table.bars[first:]:
        if bar.end > end:
            break
        if bar.length:
            found.append(bar.index)
    return found


def silences(table: ScoreTable, first: int, last: int) -> list[tuple[int, int]]:
    """Stretches (start, end in ticks) in which nobody sounds, in these bars."""
    return memo(table, f"_silences {first} {last}", lambda: _silences(table, first, last))


def _silences(table: ScoreTable, first: int, last: int) -> list[tuple[int, int]]:
    start, end = table.bars[first].start, table.bars[last].end
    rows = proof.rows_of(table, range(len(table.lines)), start, end)
    order = np.argsort(rows["onset"], kind="stable")
    found, until = [], start
    for onset, duration in zip(
        rows["onset"][order].tolist(), rows["duration"][order].tolist(), strict=True
    ):
        if onset - until > spans.SLACK:
            found.append((until, onset))
        until = max(until, onset + duration)
    if end - until > spans.SLACK:
        found.append((until, end))
    return found


def _bar_at(table: ScoreTable, tick: int) -> int:
    return int(np.searchsorted(table.bar_starts(), tick, side="right")) - 1
