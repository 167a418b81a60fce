"""How two files of one score lie on each other: bar on bar and part on part.

A corrected file may have a bar more or less, another order of parts, other ids; its notes
may be mended here and there. Bars are compared by what is written in them, whatever part
it stands in:

* two bars with the same notes weigh 1; two bars that share part of them weigh that share
  (of notes, or 0.6 x of attacks and lengths alone, where a pitch was mended), from
  `SHARE` on; equal printed labels add `LABEL`, so that they decide between equal bars;
* the heaviest alignment that keeps the order wins; a bar without a partner is lost;
* bars left over between two partners, as many here as there and with the same printed
  labels, are the same bars: an empty bar may have been filled.

All thresholds: common practice, no source.
"""

from __future__ import annotations

import difflib
import itertools
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.engine.model import ScoreTable

SHARE = 0.3  # less in common is no partner
LABEL = 0.05  # what an equal printed label adds
RHYTHM = 0.6  # weight of equal attacks and lengths with other pitches
MOST_CELLS = 9_000_000  # above it only equal bars are compared
BUCKETS = 4096

_WHAT = ("wstep", "walter", "woctave", "order")
Weights = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Alignment:
    """Old to new.

    Attributes
    ----------
    bars : tuple of int or None
        For each old bar the index of the same bar in the new file, rising; None = lost.
    parts : dict of str to str
        Old part id -> id of the same part in the new file; a part that is gone is missing.
    """

    bars: tuple[int | None, ...]
    parts: dict[str, str]


@dataclass(frozen=True, slots=True)
class _Bars:
    """The bars of one table: written notes and attacks of each, and its printed label."""

    notes: list[tuple[tuple[int, ...], ...]]
    attacks: list[tuple[tuple[int, ...], ...]]
    labels: list[tuple[str, int]]
    metres: list[tuple[int, int]]


def align(old: ScoreTable, new: ScoreTable) -> Alignment:
    """Lay the new file on the old one."""
    a, b = _bars_of(old), _bars_of(new)
    pairs = _filled(a, b, _aligned(a, b))
    return Alignment(tuple(pairs), _parts(old, new, pairs))


def _bars_of(table: ScoreTable) -> _Bars:
    notes: list[list[tuple[int, ...]]] = [[] for _ in table.bars]
    attacks: list[list[tuple[int, ...]]] = [[] for _ in table.bars]
    rows = table.notes
    starts = np.array([b.start for b in table.bars], dtype=np.int64)
    columns = [rows["bar"].tolist(), (rows["onset"] - starts[rows["bar"]]).tolist()
               if len(rows) else [], rows["duration"].tolist()]  # fmt: skip
    columns += [rows[name].tolist() for name in _WHAT]
    for bar, onset, duration, *what in zip(*columns, strict=True):
        notes[bar].append((onset, duration, *what))
        attacks[bar].append((onset, duration))
    return _Bars(
        [tuple(sorted(n)) for n in notes],
        [tuple(sorted(n)) for n in attacks],
        [(b.label, b.nth) for b in table.bars],
        [(b.beats, b.beat_type) for b in table.bars],
    )


# --- bars ---------------------------------------------------------------------------


def _aligned(a: _Bars, b: _Bars) -> list[int | None]:
    """The heaviest alignment; equal beginnings and ends with equal labels are taken at once."""
    n, m = len(a.notes), len(b.notes)
    pairs: list[int | None] = [None] * n
    head = 0
    while head < min(n, m) and _same(a, head, b, head):
        pairs[head] = head
        head += 1
    tail = 0
    while tail < min(n, m) - head and _same(a, n - 1 - tail, b, m - 1 - tail):
        pairs[n - 1 - tail] = m - 1 - tail
        tail += 1
    olds, news = range(head, n - tail), range(head, m - tail)
    if len(olds) * len(news) > MOST_CELLS:
        for i, j in _equal_runs(a, olds, b, news):
            pairs[i] = j
    elif olds and news:
        for i, j in _heaviest(_weights(a, olds, b, news)):
            pairs[olds[i]] = news[j]
    return pairs


def _same(a: _Bars, i: int, b: _Bars, j: int) -> bool:
    return a.labels[i] == b.labels[j] and a.notes[i] == b.notes[j]


def _equal_runs(a: _Bars, olds: range, b: _Bars, news: range) -> list[tuple[int, int]]:
    matcher = difflib.SequenceMatcher(
        None, [hash(a.notes[i]) for i in olds], [hash(b.notes[j]) for j in news]
    )
    return [
        (olds[block.a + k], news[block.b + k])
        for block in matcher.get_matching_blocks()
        for k in range(block.size)
    ]


def _weights(a: _Bars, olds: range, b: _Bars, news: range) -> Weights:
    """How much two bars have in common, 0 below `SHARE`; with what equal labels add."""
    equal = _equal([a.notes[i] for i in olds], [b.notes[j] for j in news])
    labels = _equal([a.labels[i] for i in olds], [b.labels[j] for j in news])
    weights = equal.astype(np.float32)
    # Only bars without a twin are worth a closer look.
    rows, columns = ~equal.any(axis=1), ~equal.any(axis=0)
    if rows.any() and columns.any():
        left = [olds[i] for i in np.flatnonzero(rows)]
        right = [news[j] for j in np.flatnonzero(columns)]
        share = np.maximum(
            _shares([a.notes[i] for i in left], [b.notes[j] for j in right]),
            RHYTHM * _shares([a.attacks[i] for i in left], [b.attacks[j] for j in right]),
        )
        share[share < SHARE] = 0
        weights[np.ix_(rows, columns)] = 0.9 * share
    weights[(weights > 0) & labels] += LABEL
    return weights


def _equal(left: Sequence[object], right: Sequence[object]) -> NDArray[np.bool_]:
    number: dict[object, int] = {}
    a = np.array([number.setdefault(x, len(number)) for x in left])
    b = np.array([number.setdefault(x, len(number)) for x in right])
    found: NDArray[np.bool_] = a[:, None] == b[None, :]
    return found


def _shares(
    left: Sequence[tuple[tuple[int, ...], ...]], right: Sequence[tuple[tuple[int, ...], ...]]
) -> Weights:
    """Notes in common / notes in either (Jaccard over multisets, in `BUCKETS` buckets)."""
    a, b = _marks(left), _marks(right)
    common = a @ b.T
    either = a.sum(axis=1)[:, None] + b.sum(axis=1)[None, :] - common
    return np.where(either > 0, common / np.maximum(either, 1), 0).astype(np.float32)


def _marks(bars: Sequence[tuple[tuple[int, ...], ...]]) -> Weights:
    """One row a bar; the k-th occurrence of a note has a bucket of its own."""
    marks = np.zeros((len(bars), BUCKETS), dtype=np.float32)
    for row, notes in enumerate(bars):
        for note, count in Counter(notes).items():
            for k in range(count):
                marks[row, hash((note, k)) % BUCKETS] = 1
    return marks


def _heaviest(weights: Weights) -> list[tuple[int, int]]:
    """The heaviest rising sequence of pairs (alignment without a price for gaps)."""
    n, m = weights.shape
    best = np.zeros((n + 1, m + 1), dtype=np.float32)
    for i in range(n):
        taken = np.where(weights[i] > 0, best[i, :-1] + weights[i], 0)
        best[i + 1, 1:] = np.maximum.accumulate(np.maximum(best[i, 1:], taken))
    pairs = []
    i, j = n, m
    while i and j:
        if best[i, j] == best[i - 1, j]:
            i -= 1
        elif best[i, j] == best[i, j - 1]:
            j -= 1
        else:
            i, j = i - 1, j - 1
            pairs.append((i, j))
    return pairs[::-1]


def _filled(a: _Bars, b: _Bars, pairs: list[int | None]) -> list[int | None]:
    """Left-over bars between two partners, equal in number, labels and metre, go together."""
    found = list(pairs)
    known = [(-1, -1), *((i, j) for i, j in enumerate(pairs) if j is not None)]
    for (i, j), (k, m) in itertools.pairwise([*known, (len(pairs), len(b.notes))]):
        if k - i != m - j:
            continue
        for n in range(1, k - i):
            if a.labels[i + n] == b.labels[j + n] and a.metres[i + n] == b.metres[j + n]:
                found[i + n] = j + n
    return found


# --- parts --------------------------------------------------------------------------


def _parts(old: ScoreTable, new: ScoreTable, pairs: list[int | None]) -> dict[str, str]:
    """By printed label in order; what is left by its notes, then by id."""
    found: dict[int, int] = {}
    olds, news = old.first_readings, new.first_readings

    def pair(key: str) -> None:
        free: dict[str, list[int]] = {}
        for k, part in enumerate(news):
            if k not in found.values():
                free.setdefault(str(getattr(part, key)).casefold(), []).append(k)
        for k, part in enumerate(olds):
            twins = free.get(str(getattr(part, key)).casefold())
            if k not in found and twins:
                found[k] = twins.pop(0)

    pair("label")
    left = [k for k in range(len(olds)) if k not in found]
    if left:
        mine, theirs = _by_part(old, dict(enumerate(pairs))), _by_part(new, None)
        for k in left:
            shares = {
                j: _in_common(mine.get(k, Counter()), theirs.get(j, Counter()))
                for j in range(len(news))
                if j not in found.values()
            }
            best = max(shares, key=lambda j: shares[j], default=None)
            if best is not None and shares[best] >= 0.5:
                found[k] = best
        pair("id")
    return {olds[k].id: news[j].id for k, j in found.items()}


def _by_part(
    table: ScoreTable, moved: dict[int, int | None] | None
) -> dict[int, Counter[tuple[int, ...]]]:
    """Written notes of each part, at the bars of the new file."""
    found: dict[int, Counter[tuple[int, ...]]] = {}
    starts = [b.start for b in table.bars]
    for row in table.notes[["part", "bar", "onset", "duration", *_WHAT]].tolist():
        part, bar, onset, *what = row
        at = bar if moved is None else moved[bar]
        if at is not None:
            found.setdefault(part, Counter())[(at, onset - starts[bar], *what)] += 1
    return found


def _in_common(a: Counter[tuple[int, ...]], b: Counter[tuple[int, ...]]) -> float:
    either = (a | b).total()
    return (a & b).total() / either if either else 0.0
