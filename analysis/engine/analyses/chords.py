"""Chords at telling places, with who has which member.

Every slice has its chord (`harmony`); told are the first and the last chord of each movement and
the chords held by a tutti or by the winds for a bar or longer, the fullest of each kind. Cadences
are told by `cadences`. A chord is found by weighing; who has which member is counted.
"""

from __future__ import annotations

from collections.abc import Iterator, Set
from dataclasses import replace

import numpy as np

from analysis.engine.analyses import chord_members as parts
from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.chord_members import Held
from analysis.engine.analyses.harmony import Harmony, harmony
from analysis.engine.analyses.harmony_names import Chord
from analysis.engine.analyses.spans import heads
from analysis.engine.analyses.speech import finding, span
from analysis.engine.model import TICKS, Evidence, Finding, Movement, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "chord.first": (
            "{place}: the first chord is {chord} {position}: {members}{missing}{layout}."
        ),
        "chord.last": (
            "{place}: the last chord is {chord} {position}: {members}{missing}{layout}."
        ),
        "chord.held-tutti": (
            "{place}: a tutti holds {chord} {position}: {members}{missing}{layout}."
        ),
        "chord.held-winds": (
            "{place}: the winds hold {chord} {position}: {members}{missing}{layout}."
        ),
    }
)

#: held chords told of one movement, the fullest first: common practice
MOST = 6
#: share of the notes of a held chord that are its members
CLEAN = 0.8
#: share of the sounding lines that hold, for a tutti
ALL = 0.8
#: below this a chord is not told at all: the ear would doubt it
UNSURE = 0.4


def find_chords(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "chord": the first and last chord, and those tutti or winds hold."""
    return list(memo(table, f"_find_chords-{hash(settings)}", lambda: _find(table, settings)))


def _find(table: ScoreTable, settings: Settings) -> list[Finding]:
    found: list[Finding] = []
    known = harmony(table)
    for movement in table.movements:
        first, last = _first(table, known, movement), _last(table, known, movement)
        ends = {here.chord.first for here in (first, last) if here is not None}
        if first is not None:
            found.append(_finding(table, known, first, "chord.first"))
        found += _held(table, known, movement, settings, ends)
        if last is not None and (first is None or last.chord.start > first.chord.start):
            found.append(_finding(table, known, last, "chord.last"))
    return found


def in_movement(table: ScoreTable, known: Harmony, movement: Movement) -> Iterator[Chord]:
    """The chords of a movement, by time."""
    start, end = table.bars[movement.first_bar].start, table.bars[movement.last_bar].end
    yield from known.between(start, end)


def _first(table: ScoreTable, known: Harmony, movement: Movement) -> Held | None:
    """The first chord of more than two lines: complete, or with a third and a bar long."""
    for chord in in_movement(table, known, movement):
        bar = table.bars[int(known.bar[chord.first])]
        if not chord.named or chord.quality == "open fifth":
            continue
        for tick in known.edges[chord.first : chord.last + 1].tolist():
            here = parts.at_moment(table, replace(chord, start=tick), tick)
            full = set(here.members) >= set(chord.members[:3]) or chord.end - tick >= bar.length
            if len(here.all_lines) > 2 and {"root", "third"} <= set(here.members) and full:
                return here if chord.confidence >= UNSURE else None
    return None


def _last(table: ScoreTable, known: Harmony, movement: Movement) -> Held | None:
    """The chord the movement ends on, at its last attack; None if it ends on less than a third."""
    chord = next(reversed([*in_movement(table, known, movement)]), None)
    if chord is None or chord.confidence < UNSURE:
        return None
    for tick in reversed(known.edges[chord.first : chord.last + 1].tolist()):
        here = parts.at_moment(table, chord, tick)
        if len(here.all_lines) > 2 and {"root", "third"} <= set(here.members):
            start = max(int(here.rows["onset"].max()), chord.start)
            return replace(here, chord=replace(chord, start=start))
    return None


def _held(
    table: ScoreTable,
    known: Harmony,
    movement: Movement,
    settings: Settings,
    told: Set[int],
) -> list[Finding]:
    """Chords that many lines hold for a bar or longer, one of each sort and scoring."""
    found: dict[object, tuple[float, int, Held, str]] = {}
    for chord in in_movement(table, known, movement):
        bar = table.bars[int(known.bar[chord.first])]
        least = max(int(settings.chord_held_bars * bar.length), 2 * TICKS)
        if not chord.named or chord.end - chord.start < least or chord.confidence < UNSURE:
            continue
        if chord.first in told:
            continue
        here, who = _holders(table, chord, least, settings)
        if here is None:
            continue
        sort = (chord.root, chord.quality, chord.inversion, who)
        weight = len(here.all_lines) * min((chord.end - chord.start) / bar.length, 4.0)
        if sort not in found or found[sort][0] < weight:
            found[sort] = (weight, chord.start, here, who)
    best = sorted(found.values(), key=lambda f: (-f[0], f[1]))[:MOST]
    return [
        _finding(table, known, here, f"chord.held-{who}")
        for _, _, here, who in sorted(best, key=lambda f: f[1])
    ]


def _holders(
    table: ScoreTable, chord: Chord, least: int, settings: Settings
) -> tuple[Held | None, str]:
    """The notes of the chord that last for `least` ticks of it, and who holds them."""
    rows, onset, end = parts.pitched(table)
    upto = int(np.searchsorted(onset, chord.end - least, side="right"))
    inside = np.minimum(end[:upto], chord.end) - np.maximum(onset[:upto], chord.start)
    long = inside >= least
    if long.sum() < settings.chord_held_lines:
        return None, ""
    here = parts.held(chord, rows[:upto][long])
    lines = here.all_lines
    clean = sum(m != "foreign" for m in here.members) / len(here.members)
    if len(lines) < settings.chord_held_lines or clean < CLEAN:
        return None, ""
    if len(set(here.members) - {"foreign"}) < min(3, len(chord.tones)):
        return None, ""
    playing = set(rows[:upto]["line"][inside > 0].tolist())
    families = {table.lines[i].family for i in lines}
    if len(lines) >= ALL * len(playing) and len(lines) >= settings.tutti_share * len(heads(table)):
        return here, "tutti"
    return (here, "winds") if families <= {"woodwind", "brass"} else (None, "")


def _finding(table: ScoreTable, known: Harmony, here: Held, template: str) -> Finding:
    chord = here.chord
    return finding(
        table,
        chord_value(table, known, here),
        start=chord.start,
        end=chord.end,
        lines=here.all_lines,
        evidence=[Evidence(ids=tuple(table.note_ids(here.rows)))],
        template=template,
        params={
            "place": where(table, chord),
            "chord": known.spelling.words(chord),
            "position": parts.position(chord),
            "members": parts.said_members(table, here),
            "missing": parts.said_missing(here),
            "layout": parts.said_layout(table, here),
        },
        confidence=chord.confidence,
    )


def chord_value(table: ScoreTable, known: Harmony, here: Held) -> dict[str, object]:
    """The claim a chord is: root, quality, inversion, and who has what at that moment."""
    chord = here.chord
    value: dict[str, object] = {
        "kind": "chord",
        "parts": [],
        "root": known.spelling.root(chord),
        "quality": chord.quality,
    }
    if chord.inversion >= 0:
        value["inversion"] = 1 if chord.inversion and len(chord.tones) < 3 else chord.inversion
    value["member"] = parts.value_of(table, here)
    return value


def where(table: ScoreTable, chord: Chord) -> str:
    """Its place: to the beat within a bar, in whole bars beyond."""
    return span(table, chord.start, chord.end)
