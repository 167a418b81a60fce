"""Continuity: can a player phrase the line?

Two things stand in the way of a phrase, and both can be counted:

* *no breath*: a wind player or a singer plays on without a written rest long enough to breathe in
  (`BREATH` seconds) for longer than ``breath_seconds``, at the printed tempo (`sound.tempo`; else
  that of the tempo word). Winds must breathe, strings need not (trade facts 1.4); how
  long a breath lasts is common practice without a printed source, and one may breathe between two
  notes without a rest: the sentence says what is written, no more;
* *fragments*: bits of two or three notes (some of one) between rests of a beat and more, at least
  `BITS` of them running, in every bar of a stretch. Single strokes are no fragments.

Both say that the part plays in all these bars, and are findings of kind "playing" (mode play).
Parts in the same case over the same bars are told together.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from analysis.engine.analyses.attacks import IntArray, attacks
from analysis.engine.analyses.phrases import Phrase, phrases
from analysis.engine.analyses.spans import heads, intervals, sounding
from analysis.engine.analyses.speech import bar_at, finding, names, number, part_values, place
from analysis.engine.model import Evidence, Finding, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings
from analysis.engine.sound.tempo import Clock, tempo_changes

register(
    {
        "playing.no-breath": (
            "{place}: {parts} {have} no written rest to breathe in for about {seconds} seconds "
            "({notes} notes): look for where the phrase lets one breathe."
        ),
        "playing.fragments": (
            "{place}: {parts} {have} only fragments: {bits} bits of {most} between rests."
        ),
    }
)

#: who must breathe
BREATHES = frozenset({"woodwind", "brass", "voice"})
#: seconds of rest for a breath
BREATH = 0.35
#: most notes of a fragment, fewest fragments running
BIT, BITS = 3, 8
#: families that play in single strokes by nature
STROKES = frozenset({"percussion", "plucked", "keyboard", "unknown"})
SHOWN = 200


def find_continuity(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "playing" about the continuity of each line.

    Parameters
    ----------
    table : ScoreTable
    settings : Settings
        ``breath_seconds``.

    Returns
    -------
    list of Finding
        Confidence 1: rests and notes are counted.
    """
    if not table.bars:
        return []
    clock = Clock.of(tempo_changes(table))
    cases: dict[tuple[int, int, str, str], list[_Case]] = defaultdict(list)
    for line in heads(table):
        family = table.lines[line].family
        some: list[_Case] = []
        if family in BREATHES:
            some += _breathless(table, line, clock, settings)
        if family not in STROKES:
            some += _fragments(table, line)
        for case in some:
            cases[case.first, case.last, case.template, str(case.params)].append(case)
    return [_finding(table, same) for same in cases.values()]


@dataclass(frozen=True, slots=True)
class _Case:
    """One line in bars first..last (inclusive), and what its sentence tells."""

    line: int
    first: int
    last: int
    template: str
    params: Mapping[str, object]


def _breathless(table: ScoreTable, line: int, clock: Clock, settings: Settings) -> Iterator[_Case]:
    """Stretches of sound without a rest to breathe in."""
    for start, end in breathless(table, line, clock, settings):
        notes = len(np.unique(attacks(table).between(line, start, end)["onset"]))
        seconds = 5 * round((clock.at(end) - clock.at(start)) / 5)
        if notes > 1:
            params = {"seconds": seconds, "notes": notes}
            first, last = bar_at(table, start), bar_at(table, end - 1)
            yield _Case(line, first, last, "playing.no-breath", params)


def breathless(
    table: ScoreTable, line: int, clock: Clock, settings: Settings
) -> list[tuple[int, int]]:
    """(start, end) in ticks of sound of ``breath_seconds`` and more without a rest of `BREATH`."""
    times = _cut_at_movements(table, intervals(table)[line])
    if not len(times):
        return []
    knots = [*clock.ticks, max(int(times[-1, 1]), clock.ticks[-1]) + 1]
    seconds = np.interp(times, knots, [clock.at(tick) for tick in knots])
    movement = np.array([bar.movement for bar in table.bars], dtype=np.int64)
    bar = np.clip(np.searchsorted(table.bar_starts(), times[:, 0], side="right") - 1, 0, None)
    rest = seconds[1:, 0] - seconds[:-1, 1] >= BREATH
    rest |= movement[bar[1:]] != movement[bar[:-1]]
    first = np.flatnonzero(np.r_[True, rest])
    last = np.r_[first[1:] - 1, len(times) - 1]
    long = seconds[last, 1] - seconds[first, 0] >= settings.breath_seconds
    return list(zip(times[first[long], 0].tolist(), times[last[long], 1].tolist(), strict=True))


def _cut_at_movements(table: ScoreTable, times: IntArray) -> IntArray:
    """Sound that runs up to the end of a movement does not run on into the next."""
    for movement in table.movements[1:]:
        edge = table.bars[movement.first_bar].start
        over = (times[:, 0] < edge) & (times[:, 1] > edge)
        if over.any():
            k = int(over.argmax())
            halves = np.array([[times[k, 0], edge], [edge, times[k, 1]]])
            times = np.concatenate([times[:k], halves, times[k + 1 :]])
    return times


def _fragments(table: ScoreTable, line: int) -> Iterator[_Case]:
    """Runs of short bits in which the line sounds in every bar."""
    plays = sounding(table)[line]
    run: list[Phrase] = []
    short = groupby(phrases(table)[line], lambda p: len(p) <= BIT)
    for is_short, some in short:
        run = []
        for bit in some if is_short else ():
            goes_on = run and (
                table.bars[run[-1].first].movement == table.bars[bit.first].movement
                and plays[run[-1].last : bit.first + 1].all()
            )
            if run and not goes_on:
                yield from _bits(table, line, run)
                run = []
            run.append(bit)
        yield from _bits(table, line, run)


def _bits(table: ScoreTable, line: int, run: list[Phrase]) -> Iterator[_Case]:
    several = sum(len(bit) > 1 for bit in run)
    if len(run) < BITS or 2 * several < len(run):
        return
    most = max(len(bit) for bit in run)
    params = {"bits": len(run), "most": f"at most {number(most)} notes"}
    yield _Case(line, run[0].first, run[-1].last, "playing.fragments", params)


def _finding(table: ScoreTable, same: list[_Case]) -> Finding:
    one = same[0]
    lines = [case.line for case in same]
    start, end = table.bars[one.first].start, table.bars[one.last].end
    grid = attacks(table)
    ids = [table.note_ids(grid.between(k, start, end)[:SHOWN]) for k in lines]
    return finding(
        table,
        {"kind": "playing", "mode": "play", "parts": part_values(table, lines)},
        start=start,
        end=end,
        bars=(one.first, one.last),
        lines=lines,
        evidence=[Evidence(ids=tuple(found)) for found in ids],
        template=one.template,
        params={
            "place": place(table, one.first, one.last),
            "parts": names(table, lines),
            "have": "has" if len(lines) == 1 else "have",
            **one.params,
        },
    )
