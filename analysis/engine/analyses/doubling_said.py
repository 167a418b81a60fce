"""Which of all doublings are worth a finding of their own.

A doubling that follows from two others is not said again, and a looser one not of every line that
goes with another of which it is said already.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from analysis.engine.analyses.runs import DOUBLED, Run
from analysis.engine.model import ScoreTable

#: how much of a partial, simplified or decorated doubling is worth a sentence of its own: common
#: practice; below, lines merely share the harmony (the facts stay in `pair_runs`)
LOOSE_BARS = 2
LOOSE_MET = 5
LOOSE_SHARE = 0.5


def rank(table: ScoreTable, line: int) -> tuple[int, int]:
    """Who is taken as the one that is doubled: strings before others, then score order."""
    return (0 if table.lines[line].family == "strings" else 1, line)


def said(table: ScoreTable, runs: Sequence[Run]) -> list[Run]:
    """Runs worth a finding of their own."""
    full = [r for r in runs if r.coverage in {"full", "noted"}]
    beside: dict[tuple[int, int], list[tuple[int, int, int]]] = defaultdict(list)
    for run in full:
        beside[run.a, run.b].append((run.start, int(run.at[-1]), run.octaves))
        beside[run.b, run.a].append((run.start, int(run.at[-1]), -run.octaves))
    partners: dict[int, set[int]] = defaultdict(set)
    for a, b in beside:
        partners[a].add(b)
    told = [r for r in full if not _follows(table, r, beside, partners)]
    loose: dict[tuple[int, int], list[Run]] = defaultdict(list)
    for run in runs:
        worth = run.coverage in DOUBLED - {"full", "noted"}
        worth |= run.coverage == "partial" and run.share >= LOOSE_SHARE
        if worth and run.met >= LOOSE_MET and run.last - run.first + 1 >= LOOSE_BARS:
            loose[run.a, run.b].append(run)
    for run in (run for same in loose.values() for run in same):
        if not _said_of_another(table, run, loose, beside, partners):
            told.append(run)
    return told


def _said_of_another(
    table: ScoreTable,
    run: Run,
    loose: dict[tuple[int, int], list[Run]],
    beside: dict[tuple[int, int], list[tuple[int, int, int]]],
    partners: dict[int, set[int]],
) -> bool:
    """Whether the same looser doubling is said of a line that goes with one of the two.

    "The bassoon plays the plain line that the first violins decorate" need not be said of the
    second violins again, where these double the first; nor of a bassoon 2 that doubles bassoon 1.
    """
    for mine, other in ((run.a, run.b), (run.b, run.a)):
        for third in partners[mine]:
            if third == other or rank(table, third) >= rank(table, mine):
                continue
            pair = (third, other) if mine == run.a else (other, third)
            alike = (r for r in loose.get(pair, ()) if r.coverage == run.coverage)
            near = any(r.start <= run.at[-1] and run.start <= r.at[-1] for r in alike)
            if near and _covering(beside[mine, third], run.start, int(run.at[-1])):
                return True
    return False


def _follows(
    table: ScoreTable,
    run: Run,
    beside: dict[tuple[int, int], list[tuple[int, int, int]]],
    partners: dict[int, set[int]],
) -> bool:
    """Whether the run follows from two runs with a third line that comes before both."""
    first = min(rank(table, run.a), rank(table, run.b))
    last = int(run.at[-1])
    for third in partners[run.a] & partners[run.b]:
        if rank(table, third) >= first:
            continue
        left = _covering(beside[run.a, third], run.start, last)
        if not left:
            continue
        right = _covering(beside[third, run.b], run.start, last)
        if any(x + y == run.octaves for x in left for y in right):
            return True
    return False


def _covering(spans: list[tuple[int, int, int]], first: int, last: int) -> list[int]:
    """Distances of the spans that reach over these onsets."""
    return [d for start, end, d in spans if start <= first and end >= last]
