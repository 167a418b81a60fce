"""Sequences and melodic chains: a model restated in one line at another pitch level.

A line is periodic where its moves (ticks and steps to the next attack) are those of so many
attacks earlier. Over a whole model with a net move other than none that is a sequence: statements
follow each other at once, rhythm and steps kept, semitones free (tonal) or kept (real). Sources:
trade facts 9 (motif, sequence, real and tonal; repetition at the same level is no sequence). A
model of one or two notes makes a *chain*, told by its signed intervals (falling fifths: -4, +3).

What is none: one note repeated, a scale (every move one step the same way), a figure at the same
level (ostinato), a broken chord that closes into itself. Lengths are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from analysis.engine.analyses.attacks import BoolArray, IntArray
from analysis.engine.analyses.melodic import NO_MOVE, Stream, stream
from analysis.engine.analyses.phrases import felt_beats
from analysis.engine.model import ScoreTable

#: most attacks of a model
LONGEST = 40
#: fewest attacks of a model that is more than a chain, and different pitches in it
LEAST_NOTES, LEAST_PITCHES = 3, 2
#: a model shorter than half a bar must be stated so often
SHORT_STATEMENTS = 4
#: fewest moves of a chain whose model is one move, and two moves
CHAIN_MOVES = {1: 4, 2: 6}


@dataclass(frozen=True, slots=True)
class Restated:
    """A model and its restatements in one line.

    Attributes
    ----------
    line : int
    notes : int
        Attacks of the model.
    statements : int
    step : int
        Signed steps from one statement to the next.
    period : int
        Ticks from one statement to the next.
    start, end : int
        Ticks: first attack, and where the last statement ends (exclusive).
    breaks : int
        Tick of the first attack that goes another way; -1 where the line rests or ends.
    real : bool
        Semitones kept as well.
    chain : tuple of int
        Signed intervals of a melodic chain; empty for a sequence.
    """

    line: int
    notes: int
    statements: int
    step: int
    period: int
    start: int
    end: int
    breaks: int
    real: bool
    chain: tuple[int, ...] = ()


def restated(table: ScoreTable, least: int = 3) -> list[Restated]:
    """All sequences (at least `least` statements) and chains, line by line, none overlapping."""
    s = stream(table)
    if len(s) <= CHAIN_MOVES[1]:
        return []
    found: list[tuple[Restated, int, int]] = []
    spoilt: list[tuple[int, int]] = []  # scales, figures at the same level, figuration
    for notes in range(1, min(LONGEST, len(s) // 2) + 1):
        same = _same(s, notes)
        begins, ends = _runs(same)
        long = ends - begins >= max(notes * (least - 1) - 1, 2)
        for i, j in zip(begins[long].tolist(), ends[long].tolist(), strict=True):
            step = int(s.degree[i + notes] - s.degree[i])
            if step == 0 or _is_scale(s, i, j + notes):
                spoilt.append((i, j + notes))
                continue
            one = _judge(table, s, notes, i, j, step, least)
            if one:
                found.append((one, i, j + notes))
            elif notes < LEAST_NOTES:
                spoilt.append((i, j + notes))
    return _apart(found, spoilt)


def _same(s: Stream, notes: int) -> BoolArray:
    """Whether the move from each attack is that of `notes` attacks later."""
    gap, move = s.gap, s.move
    same: BoolArray = (gap[:-notes] == gap[notes:]) & (move[:-notes] == move[notes:])
    same &= (move[:-notes] != NO_MOVE) & (s.line[:-notes] == s.line[notes:])
    return same


def _runs(mask: BoolArray) -> tuple[IntArray, IntArray]:
    edges = np.diff(np.r_[False, mask, False].astype(np.int8))
    return np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)


def _is_scale(s: Stream, first: int, last: int) -> bool:
    moves = s.move[first:last]
    return bool((moves == moves[0]).all() and abs(int(moves[0])) <= 1)


def _judge(
    table: ScoreTable, s: Stream, notes: int, i: int, j: int, step: int, least: int
) -> Restated | None:
    """The sequence or chain of the attacks `i` to ``j + notes``, if they make one."""
    last = j + notes  # the last attack that still fits
    period = int(s.onset[i + notes] - s.onset[i])
    count = (last - i + 1) // notes
    bar, beat = table.bars[int(s.bar[i])], int(felt_beats(table)[int(s.bar[i])])
    moves = tuple(s.move[i:last].tolist())
    chain: tuple[int, ...] = ()
    if notes in CHAIN_MOVES:
        slow = period >= beat * notes
        leaps = 2 <= max(abs(m) for m in moves) < 7  # with octaves it is a line led in registers
        if len(moves) < CHAIN_MOVES[notes] or not slow or not leaps or 0 in moves:
            return None
        chain = moves
        end = int(s.end[last])
    else:
        pitches = len(np.unique(s.pitch[i : i + notes]))
        enough = max(least, SHORT_STATEMENTS if 2 * period < bar.length else 0)
        if period < beat or pitches < LEAST_PITCHES or count < enough:
            return None
        i, count = _on_the_beat(table, s, notes, i, last, count, enough)
        close = i + count * notes
        end = int(s.onset[i]) + count * period
        end = min(end, int(s.onset[close])) if close <= last else max(int(s.end[close - 1]), 0)
    if not _moves_on(s, i, notes, step):
        return None
    semis = np.diff(s.pitch[i : last + 1])
    beyond = last < len(s) - 1 and s.move[last] != NO_MOVE and not s.fresh[last + 1]
    return Restated(
        line=int(s.line[i]),
        notes=notes,
        statements=count,
        step=step,
        period=period,
        start=int(s.onset[i]),
        end=end,
        breaks=int(s.onset[last + 1]) if beyond else -1,
        real=bool((semis[:-notes] == semis[notes:]).all()),
        chain=chain,
    )


def _on_the_beat(
    table: ScoreTable, s: Stream, notes: int, i: int, last: int, count: int, enough: int
) -> tuple[int, int]:
    """Begin with the model where it is heard to begin, if no fewer statements come of it.

    The periodic stretch may begin with the end of the note before: of the attacks on which the
    model could begin, one after a rest wins, else one at the start of a bar, else of a beat.
    """
    spare = (last - i + 1) - count * notes
    best, rank = i, -1
    for k in range(i, i + max(spare, 0) + 1):
        bar = table.bars[int(s.bar[k])]
        inside = int(s.onset[k]) - bar.start
        beat = int(felt_beats(table)[bar.index])
        here = 3 if s.fresh[k] else 2 if inside == 0 else 1 if inside % beat == 0 else 0
        if here > rank:
            best, rank = k, here
    return best, (last - best + 1) // notes


def _moves_on(s: Stream, i: int, notes: int, step: int) -> bool:
    """Not a broken chord that climbs through its own octaves."""
    rise = int(s.pitch[i + notes] - s.pitch[i])
    return step % 7 != 0 and rise % 12 != 0


def _apart(found: list[tuple[Restated, int, int]], spoilt: list[tuple[int, int]]) -> list[Restated]:
    """The best of those that overlap: the longest in time, then with the shortest model.

    What lies for the most part in one scale or ostinato goes.
    """
    bad = np.array(sorted(spoilt), dtype=np.int64).reshape(-1, 2)
    reach = np.maximum.accumulate(bad[:, 1])  # of all that begin no later
    taken: set[int] = set()
    kept = []
    order = sorted(found, key=lambda x: (-(x[0].end - x[0].start), x[0].notes, x[1]))
    for one, first, last in order:
        i, j = np.searchsorted(bad[:, 0], (first + 1, last + 1)).tolist()
        shared = int(reach[i - 1]) - first if i else 0
        later = np.minimum(bad[i:j, 1], last) - bad[i:j, 0]
        shared = min(max(shared, int(later.max(initial=0))), last - first)
        if 3 * shared >= 2 * (last - first) or not taken.isdisjoint(range(first, last + 1)):
            continue
        taken.update(range(first, last + 1))
        kept.append(one)
    return sorted(kept, key=lambda r: (r.start, r.line))


def together(found: list[Restated]) -> list[tuple[Restated, ...]]:
    """Lines that make one sequence at once: the same step and period over (nearly) one span."""
    groups: list[list[Restated]] = []
    for one in sorted(found, key=lambda r: (r.start, r.line)):
        for group in groups[-30:]:
            if _one_sequence(group[0], one):
                group.append(one)
                break
        else:
            groups.append([one])
    return [tuple(_levelled(g)) for g in groups]


def _one_sequence(a: Restated, b: Restated) -> bool:
    if (bool(a.chain) != bool(b.chain)) or a.line == b.line:
        return False
    if a.chain:
        return a.chain == b.chain and a.start == b.start
    if a.step != b.step or a.period != b.period:
        return False
    return 2 * abs(a.start - b.start) < a.period and abs(a.end - b.end) <= a.period


def _levelled(group: list[Restated]) -> list[Restated]:
    """The statements that all lines of a group have."""
    count = min(r.statements for r in group)
    if group[0].chain:
        return group
    return [replace(r, statements=count, end=min(r.end, r.start + count * r.period)) for r in group]
