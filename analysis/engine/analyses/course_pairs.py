"""Two players of one kind along the bars: together, split, together again.

Pairs are the neighbouring players of one desk ("Clarinet 1" and "2", on one staff or two) and the
two violin sections. In each bar they are in unison or octaves (full runs of `runs`), in thirds,
sixths or tenths (`parallel`), in one rhythm with other notes, apart, or one of them rests. The
limits are common practice, without a printed source.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Any

import numpy as np

from analysis.engine.analyses.attacks import attacks
from analysis.engine.analyses.course import company, place_value
from analysis.engine.analyses.course_facts import (
    Step,
    desks,
    partners,
    playing_bars,
    stretches,
)
from analysis.engine.analyses.doubling import run_bars
from analysis.engine.analyses.parallel import parallels
from analysis.engine.analyses.runs import pair_runs
from analysis.engine.analyses.spans import heads
from analysis.engine.analyses.speech import distance, finding, names, part_value, place
from analysis.engine.model import Evidence, Finding, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "course.split": "{place}: {parts} go together, then split: {steps}.",
        "course.rejoin": "{place}: {parts} are apart, then join: {steps}.",
        "course.split-rejoin": "{place}: {parts} split and join again: {steps}.",
        "course.join-part": "{place}: {parts} join for a while and part again: {steps}.",
    }
)
#: by whether the pair is together at the beginning and at the end
_TEMPLATES = {
    (True, False): "course.split",
    (False, True): "course.rejoin",
    (True, True): "course.split-rejoin",
    (False, False): "course.join-part",
}

#: bars a state must last to be told
LASTING = 2
#: share of the attacks of either that fall together, for "in one rhythm"
ONE_RHYTHM = 0.8
#: most states of one finding
MOST = 6
#: notes of evidence a state and player
SHOWN = 24

TOGETHER, APART = "together", "apart"
RESTS = ("first rests", "second rests", "both rest")


@dataclass(frozen=True, slots=True)
class State:
    """Bars (inclusive) in which a pair does one thing; `octaves` of the first above the second."""

    first: int
    last: int
    word: str
    octaves: int | None = None

    @property
    def bars(self) -> int:
        return self.last - self.first + 1


def find_pairs(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "course" for pairs that split or join.

    Returns
    -------
    list of Finding
        ``value["parts"]`` is the first player; a step with the second one and its octaves is a
        time together, a step with nobody a time apart. Confidence 1.
    """
    found = []
    for a, b in pairs(table):
        course = states(table, a, b, settings)
        for _, part in groupby(course, lambda s: table.bars[s.first].movement):
            for piece in _told(list(part)):
                found.append(_finding(table, a, b, piece, settings))
    return found


def pairs(table: ScoreTable) -> list[tuple[int, int]]:
    """Neighbouring players of one desk, and first with second violins."""
    groups: dict[tuple[str, str], list[int]] = defaultdict(list)
    for line in heads(table):
        groups[desks(table)[line]].append(line)
    found = [pair for lines in groups.values() for pair in pairwise(lines)]
    violins = [k for k in heads(table) if table.lines[k].instrument == "violin"]
    return sorted({*found, *(pair for pair in pairwise(violins[:2]))})


def states(table: ScoreTable, a: int, b: int, settings: Settings) -> list[State]:
    """What the pair does from bar to bar, with blemishes of one bar taken out."""
    words = _words_by_bar(table, a, b, settings)
    found: list[State] = []
    either = playing_bars(table, a) | playing_bars(table, b)
    for first, last in stretches(table, either):
        row = [words[bar] for bar in range(first, last + 1)]
        for k in range(1, len(row) - 1):
            if row[k] != row[k - 1] == row[k + 1]:
                row[k] = row[k - 1]
        at = first
        for (word, octaves), same in groupby(row):
            length = len(list(same))
            found.append(State(at, at + length - 1, word, octaves))
            at += length
    return found


def _words_by_bar(
    table: ScoreTable, a: int, b: int, settings: Settings
) -> list[tuple[str, int | None]]:
    grid = attacks(table)
    count = len(table.bars)
    one, two = grid.attacked[a], grid.attacked[b]
    of_a, of_b = (
        np.bincount(grid.bar[one], minlength=count),
        np.bincount(grid.bar[two], minlength=count),
    )
    both = np.bincount(grid.bar[one & two], minlength=count)
    rhythm = both >= ONE_RHYTHM * np.maximum(np.maximum(of_a, of_b), 1)
    words: list[tuple[str, int | None]] = []
    for bar in range(count):
        if not of_a[bar] or not of_b[bar]:
            rest = RESTS[2] if not of_a[bar] and not of_b[bar] else RESTS[bool(of_a[bar])]
            words.append((rest, None))
        else:
            words.append(("one rhythm" if rhythm[bar] else APART, None))
    for line in parallels(table, a, b, settings):
        for bar in range(line.first, line.last + 1):
            if of_a[bar] and of_b[bar]:
                words[bar] = (f"{line.interval}s", None)
    for run in pair_runs(table, a, b, settings):
        if run.coverage in {"full", "noted"}:
            for bar in run_bars(table, run):
                words[bar] = (TOGETHER, run.octaves if run.a == a else -run.octaves)
    return words


def _told(found: Sequence[State]) -> Iterator[Sequence[State]]:
    """Pieces of neighbouring states in which the pair is together and apart, each for a while."""
    piece: list[State] = []
    for state in found:
        follows = bool(piece) and state.first <= piece[-1].last + 2 and len(piece) < MOST
        if state.word == RESTS[2] or (piece and not follows):
            yield from _trimmed(piece)
            piece = []
        if state.word != RESTS[2]:
            piece.append(state)
    yield from _trimmed(piece)


def _trimmed(piece: list[State]) -> Iterator[Sequence[State]]:
    lasting = [k for k, s in enumerate(piece) if s.bars >= LASTING]
    kinds = {piece[k].word == TOGETHER for k in lasting if piece[k].word not in RESTS}
    if kinds == {True, False}:
        yield piece[lasting[0] : lasting[-1] + 1]


def _finding(
    table: ScoreTable, a: int, b: int, piece: Sequence[State], settings: Settings
) -> Finding:
    steps: list[dict[str, Any]] = []
    evidence = []
    grid = attacks(table)
    for state in piece:
        step: dict[str, Any] = {"bars": place_value(table, state.first, state.last), "with": []}
        if state.word == TOGETHER:
            step |= {"with": [part_value(table, b)], "octaves": state.octaves}
        steps.append(step)
        start, end = table.bars[state.first].start, table.bars[state.last].end
        for line in (a, b):
            ids = table.note_ids(grid.between(line, start, end)[:SHOWN])
            evidence.append(Evidence(ids=tuple(ids)))
    first, last = piece[0].first, piece[-1].last
    ends = (piece[0].word == TOGETHER, piece[-1].word == TOGETHER)
    return finding(
        table,
        {"kind": "course", "parts": [part_value(table, a)], "steps": steps},
        start=table.bars[first].start,
        end=table.bars[last].end,
        bars=(first, last),
        lines=[a, b],
        evidence=[e for e in evidence if e.ids],
        template=_TEMPLATES[ends],
        params={
            "place": place(table, first, last),
            "parts": names(table, [a, b]),
            "steps": ", then ".join(_said(table, a, b, s, settings) for s in piece),
        },
    )


def _said(table: ScoreTable, a: int, b: int, state: State, settings: Settings) -> str:
    where = place(table, state.first, state.last).split(", ")[-1]
    if state.word == TOGETHER:
        apart = state.octaves or 0
        told = distance(0) if not apart else distance(abs(apart)).replace(" higher", " apart")
    elif state.word in RESTS:
        told = f"{table.lines[b if state.word == RESTS[0] else a].name} alone"
    elif state.word == "one rhythm":
        told = "in one rhythm on other notes"
    elif state.word == APART:
        told = "apart" + _each(table, a, b, state, settings)
    else:
        told = f"in {state.word}"
    return f"{told} ({where})"


def _each(table: ScoreTable, a: int, b: int, state: State, settings: Settings) -> str:
    """With whom each goes while they are apart, if with somebody for most of the time."""
    told = []
    for line in (a, b):
        near = partners(table, settings).get(line, {})
        counts = Counter(
            who for bar in range(state.first, state.last + 1) for who in near.get(bar, {}).items()
        )
        often = [who for who, n in counts.most_common(2) if 2 * n > state.bars]
        if often:
            step = Step(state.first, state.last, tuple(sorted(often)))
            told.append(f"{table.lines[line].name} with {company(table, step)}")
    return f": {', '.join(told)}" if told else ""
