"""Imitation: parts that enter after each other with the same subject, while the earlier goes on.

A *subject* is what a line begins with after a rest of a beat or more. It is sought in all other
lines (there also without a rest before it) by rhythm and contour over `KNOWN` attacks, hashed, so
that the search is linear; then as far as the moves agree to a step or so (a tonal answer). Entries
follow within `REACH` bars (a fugal subject: twice that), at least a beat apart. The earlier part
still sounds when the later enters; else it is an answer
(handover), unless three enter one after the other.

What is none: the same moment in two lines (doubling, thirds), a scale or a repeated note, a
figure the leader itself repeats before the other enters (ostinato, figuration). Source: trade
facts 9, job 6 example 23 (entries a bar apart, each a fifth lower, tonal answer allowed). The
numbers are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from analysis.engine.analyses.attacks import IntArray, memo
from analysis.engine.analyses.melodic import NO_MOVE, Stream, stream
from analysis.engine.analyses.phrases import felt_beats
from analysis.engine.model import ScoreTable

#: attacks by which a subject is known again
KNOWN = 5
#: fewest alike attacks: uneven values, even ones, and where only two parts enter once
LEAST, EVEN, TWO = 5, 7, 6
#: most attacks compared
MOST = 24
#: bars within which the next entry follows; with so many alike attacks, up to twice as many
REACH, FUGAL = 4, 9
#: steps by which a move may differ (tonal answer), and how many of a subject's moves may
TONAL, BENT = 1, 2
#: different pitches of a subject
PITCHES = 3


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry: where it stands in the stream, its lines (the leading one first), its length."""

    at: int
    lines: tuple[int, ...]
    onset: int
    end: int


@dataclass(frozen=True, slots=True)
class Imitation:
    """Entries by time; `intervals` semitones of each entry above the one before; `alike` notes."""

    entries: tuple[Entry, ...]
    intervals: tuple[int, ...]
    alike: int
    real: bool
    even: bool

    @property
    def lags(self) -> tuple[int, ...]:
        """Ticks from each entry to the next."""
        onsets = [e.onset for e in self.entries]
        return tuple(b - a for a, b in pairwise(onsets))


def imitations(table: ScoreTable) -> list[Imitation]:
    """All imitations of a table, by time; each entry belongs to one. Built once per table."""
    return memo(table, "_imitation_facts", lambda: _imitations(table))


def _imitations(table: ScoreTable) -> list[Imitation]:
    s = stream(table)
    if len(s) < 2 * LEAST:
        return []
    found = sorted(_chains(table, s), key=lambda x: (-len(x.entries), -x.alike, x.entries[0].onset))
    taken: dict[int, list[tuple[int, int]]] = {}
    kept: dict[tuple[int, ...], Imitation] = {}
    for one in found:
        moments = tuple(e.onset for e in one.entries)
        if moments in kept:  # the same parts in pairs, such as thirds
            kept[moments] = _with(kept[moments], one)
            continue
        spans = [(line, e.onset, e.end) for e in one.entries for line in e.lines]
        if any(_hit(taken.get(line, []), a, b) for line, a, b in spans):
            continue
        for line, a, b in spans:
            taken.setdefault(line, []).append((a, b))
        kept[moments] = one
    return sorted(kept.values(), key=lambda x: x.entries[0].onset)


def _with(one: Imitation, other: Imitation) -> Imitation:
    entries = []
    for mine, theirs in zip(one.entries, other.entries, strict=True):
        lines = tuple(dict.fromkeys((*mine.lines, *theirs.lines)))
        entries.append(replace(mine, lines=lines))
    if len({line for e in entries for line in e.lines}) < sum(len(e.lines) for e in entries):
        return one  # a line that would enter twice
    return replace(one, entries=tuple(entries))


def _hit(spans: list[tuple[int, int]], start: int, end: int) -> bool:
    return any(a < end and start < b for a, b in spans)


def _keys(s: Stream) -> tuple[IntArray, IntArray]:
    """Indices at which a subject could stand, and the hash of its first attacks there."""
    count = len(s) - KNOWN + 1
    whole = np.ones(count, dtype=bool)
    key = np.zeros(count, dtype=np.int64)
    unit = np.zeros(count, dtype=np.int64)
    with np.errstate(over="ignore"):
        for k in range(KNOWN - 1):
            gap, move = s.gap[k : k + count], s.move[k : k + count]
            whole &= move != NO_MOVE
            key = key * np.int64(1_000_003) + gap * np.int64(4) + np.sign(move) + 1
            unit += np.abs(move)
    at = np.flatnonzero(whole & (unit >= 3))
    return at.astype(np.int64), key[at]


def _chains(table: ScoreTable, s: Stream) -> Iterator[Imitation]:
    """Chains of entries of one subject."""
    at, key = _keys(s)
    order = np.lexsort((s.line[at], s.onset[at], key))
    at, key = at[order], key[order]
    edges = np.flatnonzero(np.r_[True, np.diff(key) != 0, True])
    for i, j in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True):
        if j - i < 2:
            continue
        group = at[i:j]
        if s.line[group[0]] == s.line[group[-1]] and len(np.unique(s.line[group])) < 2:
            continue
        yield from _of_subject(table, s, group.tolist())


def _of_subject(table: ScoreTable, s: Stream, group: list[int]) -> Iterator[Imitation]:
    """Imitations among the occurrences of one hashed figure, by onset."""
    moments: list[list[int]] = []
    for at in group:
        if moments and s.onset[moments[-1][0]] == s.onset[at]:
            moments[-1].append(at)
        else:
            moments.append([at])
    used = -1
    for k, moment in enumerate(moments[:-1]):
        if k <= used:
            continue
        lead = [at for at in moment if s.fresh[at]]
        if not lead:
            continue
        chain = _follow(table, s, moments, k, lead[0])
        if len(chain) > 1:
            one = _measured(s, [moments[c[0]] for c in chain], [c[1] for c in chain])
            if one and _worth(table, s, one):
                used = chain[-1][0]
                yield one


def _follow(
    table: ScoreTable, s: Stream, moments: list[list[int]], k: int, lead: int
) -> list[tuple[int, int]]:
    """The moments that follow `k` as entries, with the attack that leads each."""
    chain = [(k, lead)]
    lines = {int(s.line[at]) for at in moments[k]}
    beats = felt_beats(table)
    for n in range(k + 1, len(moments)):
        last = chain[-1][1]
        here = {int(s.line[at]) for at in moments[n]}
        lag = int(s.onset[moments[n][0]] - s.onset[last])
        bar = table.bars[int(s.bar[last])]
        at_bar = table.bars[int(s.bar[moments[n][0]])]
        if lag > 2 * REACH * bar.length or at_bar.movement != bar.movement:
            break
        if lag < int(beats[bar.index]):
            break
        if here & lines:
            break  # a part that has had it says it again: the round is over
        enough = LEAST if lag <= REACH * bar.length else FUGAL
        alike = next((at for at in moments[n] if _alike(s, last, at) >= enough), None)
        if alike is None:
            continue
        chain.append((n, alike))
        lines |= here
    return chain


def _alike(s: Stream, a: int, b: int) -> int:
    """How many attacks from `b` on go as those from `a` on: rhythm, and moves but for a few."""
    reach = min(MOST - 1, len(s) - max(a, b) - 1)
    gaps = s.gap[a : a + reach] == s.gap[b : b + reach]
    left, right = s.move[a : a + reach], s.move[b : b + reach]
    apart = np.abs(left - right)
    ok = gaps & (apart <= TONAL) & (left != NO_MOVE) & (right != NO_MOVE)
    ok &= np.cumsum(apart > 0) <= BENT
    ok &= (np.sign(left) == np.sign(right)) | (apart == 0)
    wrong = np.flatnonzero(~ok)
    return int(wrong[0]) + 1 if len(wrong) else reach + 1


def _measured(s: Stream, moments: list[list[int]], leads: list[int]) -> Imitation | None:
    pairs = list(pairwise(leads))
    alike = min(_alike(s, a, b) for a, b in pairs)
    semis = [_interval(s, a, b, alike) for a, b in pairs]
    entries = []
    for moment, lead in zip(moments, leads, strict=True):
        together = [at for at in moment if _alike(s, lead, at) >= LEAST]
        lines = sorted({int(s.line[at]) for at in together} - {int(s.line[lead])})
        end = int(s.end[lead + alike - 1])
        entries.append(Entry(lead, (int(s.line[lead]), *lines), int(s.onset[lead]), end))
    first = leads[0]
    gaps = s.gap[first : first + alike - 1]
    real = all((_semis(s, a, alike) == _semis(s, b, alike)).all() for a, b in pairs)
    return Imitation(tuple(entries), tuple(semis), alike, real, len(np.unique(gaps)) == 1)


def _semis(s: Stream, at: int, count: int) -> IntArray:
    return np.diff(s.pitch[at : at + count])


def _interval(s: Stream, a: int, b: int, count: int) -> int:
    """Semitones of the second entry above the first: what most of its notes say."""
    values, times = np.unique(s.pitch[b : b + count] - s.pitch[a : a + count], return_counts=True)
    return int(values[times.argmax()])


def _worth(table: ScoreTable, s: Stream, one: Imitation) -> bool:
    """Whether it is a subject, and the parts do follow each other in it."""
    first, count = one.entries[0].at, one.alike
    # what the first two entries share tells the subject: a last entry may break off early
    subject = _alike(s, first, one.entries[1].at)
    moves = s.move[first : first + subject - 1]
    least = EVEN if one.even else LEAST
    least = max(least, TWO) if len(one.entries) == 2 else least
    if count < least or len(np.unique(s.pitch[first : first + count])) < PITCHES:
        return False
    if len(set(np.abs(moves).tolist())) == 1 and len(set(np.sign(moves).tolist())) == 1:
        return False  # a scale, or a chain of one interval
    if one.even and len(set(np.sign(moves).tolist())) == 1:
        return False  # an arpeggio one way in even values
    if _says_again(s, one):
        return False
    return len(one.entries) > 2 or _overlap(s, one.entries[0], one.entries[1])


def _says_again(s: Stream, one: Imitation) -> bool:
    """Whether a leader repeats its figure by the time the next part enters."""
    reach = KNOWN - 1
    for entry, lag in zip(one.entries, one.lags, strict=False):
        a = entry.at
        later = s.of(entry.lines[0], entry.onset + 1, entry.onset + lag + 1)
        for at in range(later.start, later.stop):
            if at + reach > len(s):
                break
            same = s.gap[at : at + reach] == s.gap[a : a + reach]
            way = np.sign(s.move[at : at + reach]) == np.sign(s.move[a : a + reach])
            if same.all() and way.all():
                return True
    return False


def _overlap(s: Stream, first: Entry, second: Entry) -> bool:
    """Whether the first part goes on for a while beneath the second."""
    during = s.of(first.lines[0], second.onset + 1, second.end)
    held = s.of(first.lines[0], first.onset, second.onset + 1)
    sounding = held.stop > held.start and int(s.end[held.stop - 1]) > second.onset
    return during.stop - during.start >= 2 and sounding
