"""Reinforcement by attack: parts that strike with some notes of the tune, on other pitches.

Looked for under the main line of `role_melody`: a part whose strokes all fall on attacks of the
tune, few enough to mark it and not to run along, detached, mostly on other pitch classes (else it
is a reinforcement by pitch, see `reinforcement`), and no bass, which goes with the beat anyway.
Parts with the same strokes are told as one. Thresholds, with the contract's .1 as the lower limit,
are common practice without a printed source.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Any

import numpy as np

from analysis.engine.analyses.attacks import BoolArray, IntArray, attacks
from analysis.engine.analyses.course_facts import desks
from analysis.engine.analyses.layers import jobs, leading_lines
from analysis.engine.analyses.phrases import felt_beats, phrases
from analysis.engine.analyses.role_words import WORDS
from analysis.engine.analyses.spans import heads
from analysis.engine.analyses.speech import beat, finding, names, part_value, part_values, place
from analysis.engine.model import Evidence, Finding, Movement, NoteArray, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "reinforcement.struck": (
            "{place}: {parts} strikes with {with_} on other notes, marking {met} of its {of} "
            "attacks{which}."
        ),
        "reinforcement.struck.many": (
            "{place}: {parts} strike together with {with_} on other notes, marking {met} of its "
            "{of} attacks{which}."
        ),
    }
)

#: share of the tune's attacks that are struck: more runs along, less is chance (contract: .1)
MOST = 0.5
#: share of the strokes on a pitch class of the tune from which it is support by pitch
PITCHED = 0.5
#: share of the time between strokes that a detached stroke may sound
DETACHED = 0.6
#: fewest bars and strokes
BARS, STROKES = 2, 3
#: share of the bars with the bass line: that goes with the beat, and marks nothing
BASS = 0.5
#: whose strokes on the strong beats are the bass, whatever its job is taken for
BASSES = frozenset({"cello", "double-bass", "contrabassoon"})
#: share of strokes on one kind of note, and of the notes left out, that make it "the strong beats"
STRUCTURAL, ELSEWHERE = 0.8, 0.4


@dataclass(frozen=True, slots=True)
class Accents:
    """`line` strikes at `at` (ticks) with attacks of `tune` in bars first..last (inclusive)."""

    line: int
    tune: int
    first: int
    last: int
    at: tuple[int, ...]
    of: int


def find_accents(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "reinforcement", by accent; evidence = strokes and notes struck.

    Parameters
    ----------
    table : ScoreTable
    settings : Settings
        ``doubling_contact`` is the least share of the tune's attacks.

    Returns
    -------
    list of Finding
        ``value`` names the beats if they are the same in every bar, else the notes of the tune.
        Confidence 1: that the strokes coincide is counted.
    """
    found = []
    for movement in table.movements:
        groups: dict[tuple[int, int, int, tuple[int, ...]], list[Accents]] = defaultdict(list)
        for one in accents(table, movement, settings):
            groups[one.tune, one.first, one.last, one.at].append(one)
        found += [_finding(table, same) for same in groups.values()]
    return found


def accents(table: ScoreTable, movement: Movement, settings: Settings) -> Iterator[Accents]:
    """All marking of the tune by other lines in one movement."""
    at = movement.first_bar
    for tune, bars in groupby(leading_lines(table, movement).tolist()):
        first, at = at, at + len(list(bars))
        if tune >= 0 and at - first >= BARS:
            yield from _under(table, movement, tune, first, at - 1, settings)


def _under(
    table: ScoreTable, movement: Movement, tune: int, first: int, last: int, settings: Settings
) -> Iterator[Accents]:
    """Who marks the tune between two bars in which it leads."""
    grid = attacks(table)
    i, j = np.searchsorted(grid.bar, (first, last + 1))
    bar = grid.bar[i:j] - first
    count = last - first + 1
    hit = grid.attacked[:, i:j]
    of = np.bincount(bar[hit[tune]], minlength=count)
    desk = desks(table)
    word = jobs(table, movement)[0][:, first - movement.first_bar :][:, :count]
    bass = word == WORDS.index("bass line")
    for line in heads(table):
        if desk[line] == desk[tune] or not hit[line].any():
            continue
        strokes = np.bincount(bar[hit[line]], minlength=count)
        met = np.bincount(bar[hit[line] & hit[tune]], minlength=count)
        marks = (strokes > 0) & (met == strokes) & (strokes <= MOST * of)
        for a, b in _stretches(marks, strokes):
            inside = (bar >= a) & (bar <= b) & hit[line]
            ticks = grid.onset[i:j][inside]
            share = len(ticks) / max(int(of[a : b + 1].sum()), 1)
            few = len(ticks) < STROKES or share < settings.doubling_contact
            low = table.lines[line].instrument in BASSES
            low = low and _strong(table, ticks).mean() >= STRUCTURAL
            if few or low or bass[line, a : b + 1].mean() >= BASS:
                continue
            if _same_notes(grid.top, line, tune, i + np.flatnonzero(inside)):
                continue
            if _detached(grid.end[line, i:j][inside], ticks):
                whole = int(of[a : b + 1].sum())
                yield Accents(line, tune, first + a, first + b, tuple(ticks.tolist()), whole)


def _stretches(marks: BoolArray, strokes: IntArray) -> list[tuple[int, int]]:
    """Runs of marking bars, over single bars of rest."""
    found: list[tuple[int, int]] = []
    for bar in np.flatnonzero(marks).tolist():
        between = found and bar - found[-1][1] <= 2 and not strokes[found[-1][1] + 1 : bar].any()
        if between:
            found[-1] = (found[-1][0], bar)
        else:
            found.append((bar, bar))
    return [(a, b) for a, b in found if b - a + 1 >= BARS]


def _same_notes(top: IntArray, line: int, tune: int, at: IntArray) -> bool:
    same = (top[line, at] - top[tune, at]) % 12 == 0
    return bool(same.mean() >= PITCHED)


def _detached(ends: IntArray, ticks: IntArray) -> bool:
    """Whether most strokes are over long before the next one."""
    if len(ticks) < 2:
        return True
    sounding = (ends - ticks)[:-1] / np.diff(ticks)
    return bool(np.median(sounding) <= DETACHED)


def structure(table: ScoreTable, rows: NoteArray, struck: NoteArray) -> str:
    """What kind of notes of a line those at the onsets of `struck` are, in words; "" if none.

    The first of: the beginnings of phrases, the strong beats (first of the bar, third of four),
    the longer notes, the highest ones.
    """
    onset = np.unique(rows["onset"]).astype(np.int64)
    hit = np.isin(onset, struck["onset"])
    if not hit.any() or hit.all():
        return ""
    line = int(rows["line"][0])
    length = np.zeros(len(onset), dtype=np.int64)
    height = np.zeros(len(onset), dtype=np.int64)
    at = np.searchsorted(onset, rows["onset"])
    np.maximum.at(length, at, rows["duration"])
    np.maximum.at(height, at, rows["pitch"].astype(np.int64))
    begins = np.isin(onset, [p.start for p in phrases(table)[line]])
    kinds: list[tuple[str, BoolArray]] = [
        ("the beginnings of its phrases", begins),
        ("the strong beats", _strong(table, onset)),
        ("its longer notes", length > np.median(length)),
        ("its highest notes", height >= np.quantile(height, 0.75)),
    ]
    for words, kind in kinds:
        if kind[hit].mean() >= STRUCTURAL and kind[~hit].mean() <= ELSEWHERE:
            return f": {words}"
    return ""


def _strong(table: ScoreTable, onset: IntArray) -> BoolArray:
    starts = table.bar_starts()
    bar = np.clip(np.searchsorted(starts, onset, side="right") - 1, 0, None)
    passed = onset - starts[bar]
    length = np.array([b.length for b in table.bars], dtype=np.int64)[bar]
    four = length == 4 * felt_beats(table)[bar]
    strong: BoolArray = (passed == 0) | (four & (2 * passed == length))
    return strong


def _finding(table: ScoreTable, same: list[Accents]) -> Finding:
    one = same[0]
    lines = [a.line for a in same]
    grid = attacks(table)
    ticks = np.array(one.at, dtype=np.int64)
    start, end = table.bars[one.first].start, table.bars[one.last].end
    struck = grid.notes_at(one.tune, ticks)
    beats = _beats(table, one)
    value: dict[str, Any] = {
        "kind": "reinforcement",
        "parts": part_values(table, lines),
        "with": [part_value(table, one.tune)],
        "by": "accent",
    }
    which = structure(table, grid.between(one.tune, start, end), struck)
    if beats:
        value["beats"] = beats
        bar = table.bars[one.first]
        told = [beat(bar, bar.start + round((b - 1) * bar.beat_ticks)) for b in beats]
        which = which or f": beat{'s' if len(told) > 1 else ''} {' and '.join(told)}"
    else:
        value["notes"] = table.note_ids(struck)
    evidence = [Evidence(ids=tuple(table.note_ids(grid.notes_at(k, ticks)))) for k in lines]
    return finding(
        table,
        value,
        start=start,
        end=end,
        bars=(one.first, one.last),
        lines=[*lines, one.tune],
        evidence=[*evidence, Evidence(ids=tuple(table.note_ids(struck)))],
        template="reinforcement.struck.many" if len(lines) > 1 else "reinforcement.struck",
        params={
            "place": place(table, one.first, one.last),
            "parts": names(table, lines),
            "with_": names(table, [one.tune]),
            "met": len(one.at),
            "of": one.of,
            "which": which,
        },
    )


def _beats(table: ScoreTable, one: Accents) -> list[float]:
    """The beats struck, if they are the same in every bar of the span; else nothing."""
    found = []
    for bar in table.bars[one.first : one.last + 1]:
        inside = [t for t in one.at if bar.start <= t < bar.end]
        found.append([1 + (t - bar.start) / bar.beat_ticks for t in inside])
    plain = all(not b.implicit for b in table.bars[one.first : one.last + 1])
    return found[0] if found[0] and plain and all(b == found[0] for b in found) else []
