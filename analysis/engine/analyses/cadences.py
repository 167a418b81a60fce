"""Cadences: where a phrase closes, and on what.

A cadence is a progression and a close. The progression is read from the chords (`harmony`) in the
local key (`keys`): dominant to tonic in root position, the same to the sixth degree (deceptive),
a plain dominant one stops on (half), and at the very end subdominant to tonic (plagal). The close
is read from the lines: the share of those that sound at the arrival and then rest, or hold at
least a beat and twice as long as their notes before it. Progression without close is no cadence.
Thresholds are common practice, no source; no annotated cadences of orchestral movements were at
hand, so that confidences are cautious, not calibrated.

There is no claim of kind "cadence": a cadence is told as the chord one arrives on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from analysis.engine.analyses.attacks import IntArray as Ints
from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.chord_members import pitched
from analysis.engine.analyses.harmony import Harmony, harmony
from analysis.engine.analyses.harmony_names import Chord
from analysis.engine.analyses.key_route import Stretch, stretches_of
from analysis.engine.analyses.speech import bar_at, finding, number, span
from analysis.engine.model import TICKS, Bar, Evidence, Finding, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

Sort = Literal["perfect", "imperfect", "half", "deceptive", "plagal"]

register(
    {
        "cadence.perfect": (
            "{place}: perfect cadence in {key}: {dominant} to {tonic}, the top note on the tonic."
        ),
        "cadence.perfect-again": (
            "{place}: perfect cadence in {key}, {times} in a row: {dominant} to {tonic}."
        ),
        "cadence.imperfect": (
            "{place}: cadence in {key}: {dominant} to {tonic}, the top note not on the tonic."
        ),
        "cadence.imperfect-again": (
            "{place}: cadence in {key}, {times} in a row: {dominant} to {tonic}."
        ),
        "cadence.half": "{place}: half close in {key}: the phrase stops on {tonic}.",
        "cadence.half-again": "{place}: half close in {key}, {times}: it stops on {tonic}.",
        "cadence.deceptive": (
            "{place}: deceptive cadence in {key}: {dominant} goes to {tonic}, not to the tonic."
        ),
        "cadence.deceptive-again": (
            "{place}: deceptive cadence in {key}, {times}: {dominant} goes to {tonic}."
        ),
        "cadence.plagal": "{place}: plagal close in {key}: {dominant} to {tonic}.",
    }
)

#: least share of the lines that close
CLOSE = 0.5
CLOSE_HALF = 0.7  # a half close stops more plainly, or it is no close
LINES = 3  # fewest lines that sound at a close
LONGER = 2.0  # a closing note against the notes before it
#: cadences of one sort no further apart (bars) are told together
ROW = 4
#: of each sort, before the quality of the chords and of the key
SURE: dict[Sort, float] = {
    "perfect": 0.9, "imperfect": 0.8, "half": 0.65, "deceptive": 0.75, "plagal": 0.7,
}  # fmt: skip
LEAST = 0.3  # below this nothing is told


@dataclass(frozen=True, slots=True)
class Cadence:
    """A close of one sort in `home`, from `dominant` (or subdominant) to `goal`."""

    sort: Sort
    home: Stretch
    dominant: Chord
    goal: Chord
    bar: int  # bar index of the arrival
    close: float  # share of lines that close
    confidence: float


def cadences(table: ScoreTable, settings: Settings) -> tuple[Cadence, ...]:
    """All cadences of a table, by time, single ones."""
    return memo(table, f"_cadences-{hash(settings)}", lambda: _cadences(table, settings))


def find_cadences(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "chord" at the goals of cadences; repeated closes are told once."""
    known = harmony(table)
    rows: list[list[Cadence]] = []
    for cadence in cadences(table, settings):
        last = rows[-1][-1] if rows else None
        if (
            last is not None
            and last.sort == cadence.sort
            and last.home is cadence.home
            and cadence.bar - last.bar <= ROW
        ):
            rows[-1].append(cadence)
        else:
            rows.append([cadence])
    return [_finding(table, known, row) for row in rows]


def _cadences(table: ScoreTable, settings: Settings) -> tuple[Cadence, ...]:
    known = harmony(table)
    found = []
    for movement in table.movements:
        end = table.bars[movement.last_bar].end
        for home in stretches_of(table, settings)[movement.index]:
            # the goal may be the first chord of the next key's bars
            until = min(table.bars[home.last].end + 1, end)
            chords = known.between(table.bars[home.first].start, until)
            for before, one, goal in zip((None, *chords), chords, chords[1:], strict=False):
                sort = _sort(home, one, goal)
                if sort is None or one.end != goal.start or not _prepared(home, before, one, sort):
                    continue
                if sort == "plagal" and goal is not known.chords[-1] and goal.end < end:
                    continue
                cadence = _closing(table, home, (one, goal), sort)
                if cadence is not None:
                    found.append(cadence)
    return tuple(sorted(found, key=lambda c: c.goal.start))


def _sort(home: Stretch, one: Chord, goal: Chord) -> Sort | None:
    """What the progression would be if it closed."""
    tonic, dominant = home.key.tonic, (home.key.tonic + 7) % 12
    third = 4 if home.key.mode == "major" else 3
    triad = goal.quality in ("major", "minor", "open fifth")
    if one.root == dominant and one.dominant and one.inversion == 0:
        if goal.root == tonic and goal.inversion == 0 and triad:
            return "perfect" if goal.quality != "minor" or third == 3 else None
        sixth = (tonic + (9 if third == 4 else 8)) % 12
        if (
            goal.root == sixth
            and goal.inversion == 0
            and triad
            and (one.quality == "dominant seventh")
        ):
            return "deceptive"
    if goal.root == dominant and goal.quality == "major" and goal.inversion == 0:
        return "half" if one.root != dominant and one.root != (dominant + 7) % 12 else None
    subdominant = one.root == (tonic + 5) % 12 and one.quality in ("major", "minor")
    if subdominant and goal.root == tonic and goal.inversion == 0 and triad:
        return "plagal"
    return None


def _prepared(home: Stretch, before: Chord | None, one: Chord, sort: Sort) -> bool:
    """Not a mere swaying between tonic and dominant: a seventh, or another chord before it."""
    if sort not in ("perfect", "imperfect") or one.quality == "dominant seventh":
        return True
    swaying = before is not None and before.end == one.start
    return not (swaying and before and before.root == home.key.tonic and before.inversion != 2)


def _closing(
    table: ScoreTable, home: Stretch, chords: tuple[Chord, Chord], sort: Sort
) -> Cadence | None:
    one, goal = chords
    index = bar_at(table, goal.start)
    bar = table.bars[index]
    least = min(bar.beat_ticks, TICKS)
    thin = "third" in goal.missing if sort == "half" else "third" in one.missing
    if thin or one.end - one.start < least or goal.end - goal.start < least:
        return None
    if sort != "half" and not _strong(bar, goal.start):
        return None
    close, top = _close(table, goal, bar, sort)
    if close < (CLOSE_HALF if sort == "half" else CLOSE):
        return None
    if sort == "perfect" and top % 12 != home.key.tonic:
        sort = "imperfect"
    sure = SURE[sort] * (one.confidence + goal.confidence) / 2
    sure *= 0.5 + 0.5 * min(home.confidence / 0.7, 1.0)
    if sort in ("perfect", "imperfect") and one.quality != "dominant seventh":
        sure *= 0.9
    if sure < LEAST:
        return None
    return Cadence(sort, home, one, goal, index, close, float(min(sure, 0.95)))


def _strong(bar: Bar, tick: int) -> bool:
    """On the first beat, or in the middle of a bar of four beats or six eighths and more."""
    if abs(tick - bar.start) < bar.beat_ticks // 4:
        return True
    middle = bar.start + bar.length // 2
    return bar.beats >= 4 and bar.beats % 2 == 0 and abs(tick - middle) < bar.beat_ticks // 4


def _close(table: ScoreTable, goal: Chord, bar: Bar, sort: Sort) -> tuple[float, int]:
    """Share of the lines at the goal that close there, and the highest pitch."""
    rows, onset, end = pitched(table)
    at = goal.start
    low, high = np.searchsorted(onset, (at - 4 * bar.length, at + 2 * bar.length))
    near, starts, stops = rows[low:high], onset[low:high], end[low:high]
    sounding = (starts <= at) & (stops > at)
    lines = np.unique(near["line"][sounding]).tolist()
    if len(lines) < LINES:
        return 0.0, -1
    closing = 0
    for line in lines:
        mine = near["line"] == line
        order = np.argsort(starts[mine], kind="stable")
        begins, ends = starts[mine][order], stops[mine][order]
        rest = _rests(begins, ends, goal, bar)
        closing += rest or (sort != "half" and _holds(begins, ends, at, bar))
    return closing / len(lines), int(near["pitch"][sounding].max())


def _rests(begins: Ints, ends: Ints, goal: Chord, bar: Bar) -> bool:
    """The line breaks off for a beat within the goal's bar, on a note of the goal."""
    until = min(goal.end, goal.start + bar.length)
    there = np.flatnonzero((begins < until) & (ends > goal.start))
    last = int(there[-1])
    stop = int(ends[there].max())
    following = int(begins[last + 1]) if last + 1 < len(begins) else stop + bar.length
    return following - stop >= bar.beat_ticks and stop <= until + bar.beat_ticks // 2


def _holds(begins: Ints, ends: Ints, at: int, bar: Bar) -> bool:
    """It holds for a beat and much longer than its notes before."""
    now = int(ends[(begins <= at) & (ends > at)].max()) - at
    before = np.unique(begins[(begins < at) & (begins >= at - bar.length)])
    usual = bar.length / len(before) if len(before) else bar.length / LONGER
    return now >= max(bar.beat_ticks, LONGER * usual)


def _finding(table: ScoreTable, known: Harmony, row: Sequence[Cadence]) -> Finding:
    first = row[0]
    goal = first.goal
    times = "twice" if len(row) == 2 else f"{number(len(row))} times"
    said = known.spelling
    return finding(
        table,
        {
            "kind": "chord",
            "parts": [],
            "root": said.root(goal),
            "quality": goal.quality,
            "inversion": 0,
        },
        start=goal.start,
        end=min(goal.end, table.bars[first.bar].end),
        lines=(),
        evidence=[Evidence(ids=_proof(table, first))],
        template=f"cadence.{first.sort}{'-again' if len(row) > 1 else ''}",
        params={
            "place": span(table, _approach(table, first), row[-1].goal.start + 1),
            "key": first.home.key.words,
            "dominant": said.words(first.dominant),
            "tonic": said.words(goal),
            "times": times,
        },
        confidence=max(c.confidence for c in row),
    )


def _approach(table: ScoreTable, cadence: Cadence) -> int:
    """Where the telling begins: the dominant, at most a bar before its resolution."""
    bar = table.bars[cadence.bar]
    return max(cadence.dominant.start, cadence.goal.start - bar.length)


def _proof(table: ScoreTable, cadence: Cadence) -> tuple[str, ...]:
    """Bass and leading note of the dominant, bass and top of the goal."""
    rows, onset, end = pitched(table)
    leading = (cadence.home.key.tonic + 11) % 12
    ids: list[str] = []
    for chord, tick in (
        (cadence.dominant, cadence.dominant.end - 1),
        (cadence.goal, cadence.goal.start),
    ):
        upto = int(np.searchsorted(onset, tick, side="right"))
        here = rows[:upto][end[:upto] > tick]
        if not len(here):
            continue
        wanted = (here["pitch"] == here["pitch"].min()) | (here["pitch"] == here["pitch"].max())
        if chord is cadence.dominant:
            wanted |= here["pitch"] % 12 == leading
        ids += table.note_ids(here[wanted])
    return tuple(dict.fromkeys(ids))
