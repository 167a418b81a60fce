"""Regions of local key, the stretches in which they are doubtful, and arrivals.

The best path over the bars cuts a movement into regions. Inside a long region
another key may have the better evidence for some bars, or even a cadence: too
little for a change of region, too much to be sure. Such bars are set apart as
doubtful, so that nobody is contradicted there.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses import keys_evidence as evidence
from analysis.engine.analyses import keys_path as paths
from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.keys_profiles import KEYS
from analysis.engine.analyses.keys_sure import SHIPPED, Chosen, confidence, surroundings
from analysis.engine.model import TICKS, Bar, Movement, NoteArray, NoteFlag, ScoreTable
from analysis.engine.pitch import Key, Mode, from_fifths

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


_OVERTAKEN = 0.05  # another key's posterior lies so far above that of the region's
_OVERTAKEN_BARS = 2
_DOUBTFUL = 0.6  # ceiling there: 18 of 29 such bars in S3 were right all the same
_BEFORE = 3  # bars before a cadence that belong to it

#: Share of cadences in S3 whose key is the annotated one, each count with one
#: more for and one against: in the region's key (73 of 89); in another key,
#: with a seventh and not against the local evidence (4 of 5: few). Those in
#: another key without a seventh were seldom right (6 of 65) and are left out.
_OWN, _OTHER = 74 / 91, 5 / 7
_FULL = 0.9  # strength of the latter
_AGAINST = -0.3  # log units a bar: the other key must not be less likely than this
_CLUSTER = 2  # bars within which cadences in one key are one arrival

Doubt = Literal["", "overtaken", "cadence"]


@dataclass(frozen=True, slots=True)
class Region:
    """A run of bars in one key, or a stretch of one that is doubtful throughout."""

    key: Key
    second: Key  # the next best over the same bars
    first: int  # bar index
    last: int  # inclusive
    margin: float  # difference of the two mean posteriors, -1..1
    confidence: float
    doubt: Doubt
    opens: bool  # the first stretch of its region


@dataclass(frozen=True, slots=True)
class Arrival:
    """A cadence that reaches or confirms a key."""

    key: Key
    cadence: evidence.Cadence
    confidence: float
    reaches: bool  # the first in its region, or in another key than the region's


@dataclass(frozen=True, slots=True)
class Keys:
    """The keys of one movement."""

    regions: tuple[Region, ...]
    arrivals: tuple[Arrival, ...]


def movement_rows(table: ScoreTable, movement: Movement) -> NoteArray:
    """Pitched rows of a movement without graces and cues."""
    rows = table.sounding
    inside = (rows["bar"] >= movement.first_bar) & (rows["bar"] <= movement.last_bar)
    keep: NoteArray = rows[inside & (rows["pitch"] >= 0) & ((rows["flags"] & NoteFlag.GRACE) == 0)]
    return keep


def find(table: ScoreTable, movement: Movement) -> Keys:
    """Regions, which tile the movement, and arrivals, by bar; kept with the table."""
    return memo(table, _kept(movement), lambda: _find(table, movement, SHIPPED))


def prefer(table: ScoreTable, chosen: Chosen) -> None:
    """Use this instead of `SHIPPED` for this table: for figures on works left out."""
    for movement in table.movements:
        table.__dict__[_kept(movement)] = _find(table, movement, chosen)


def _kept(movement: Movement) -> str:
    return f"_keys_{movement.index}"


def _find(table: ScoreTable, movement: Movement, chosen: Chosen) -> Keys:
    bars = table.bars[movement.first_bar : movement.last_bar + 1]
    rows = movement_rows(table, movement)
    notes = evidence.tones(rows)
    if not bars or not len(notes.onset):
        return Keys((), ())
    cadences = evidence.cadences(notes, bars)
    presence = evidence.presence(notes, bars)
    quarters = np.array([b.length / TICKS for b in bars])
    weights = evidence.cadence_weights(cadences, bars)
    reading = paths.read(presence, weights, quarters, chosen.costs)
    path, probable = reading.path, reading.probable
    kept = _arriving(cadences, path, reading.fit, bars[0].index)
    doubts = _doubts(path, probable, kept, bars[0].index)
    sure = confidence(*surroundings(path, probable), chosen.calibration)
    cuts = np.flatnonzero((np.diff(path) != 0) | (np.diff(doubts) != 0)) + 1
    regions = []
    for a, b in pairwise([0, *cuts.tolist(), len(path)]):
        opens = a == 0 or path[a] != path[a - 1]
        region = (int(path[a]), int(doubts[a]), opens)
        regions.append(_region(rows, bars[a:b], region, probable[a:b], sure[a:b]))
    return Keys(tuple(regions), tuple(_arrivals(kept, path, bars, rows)))


def _arriving(
    cadences: list[evidence.Cadence], path: NDArray[np.int64], fit: Floats, offset: int
) -> list[evidence.Cadence]:
    """Cadences worth telling, one for each cluster in a key."""
    good = []
    for c in cadences:
        i = c.bar - offset
        near = fit[max(0, i - _BEFORE) : i + 1]
        against = float((near[:, c.key] - near[:, path[i]]).mean())
        if c.key == path[i] or (c.strength >= _FULL and against > _AGAINST):
            good.append(c)
    out: list[evidence.Cadence] = []
    for key in range(KEYS):
        mine: list[evidence.Cadence] = []
        for c in (c for c in good if c.key == key):
            if mine and c.bar - mine[-1].bar <= _CLUSTER:
                if c.strength >= mine[-1].strength:
                    mine[-1] = c
            else:
                mine.append(c)
        out += mine
    return sorted(out, key=lambda c: (c.arrival, c.key))


def _doubts(
    path: NDArray[np.int64], probable: Floats, kept: list[evidence.Cadence], offset: int
) -> NDArray[np.int64]:
    """0 none, 1 overtaken, 2 before a cadence in another key; shape (bars,)."""
    own = probable[np.arange(len(path)), path]
    over = probable.max(axis=1) - own > _OVERTAKEN
    doubts = np.zeros(len(path), dtype=np.int64)
    edges = np.flatnonzero(np.diff(np.r_[False, over, False].astype(np.int8)))
    for a, b in zip(edges[::2], edges[1::2], strict=True):
        if b - a >= _OVERTAKEN_BARS:
            doubts[a:b] = 1
    for c in kept:
        i = c.bar - offset
        if c.key == path[i]:
            continue
        a = i
        while a > max(0, i - _BEFORE) and path[a - 1] == path[i]:
            a -= 1
        doubts[a : i + 1] = 2
    return doubts


def _region(
    rows: NoteArray,
    bars: tuple[Bar, ...],
    region: tuple[int, int, bool],
    probable: Floats,
    sure: Floats,
) -> Region:
    key, doubt, opens = region
    mean = probable.mean(axis=0)
    others = mean.copy()
    others[key] = -1.0
    second = int(others.argmax())
    first, last = bars[0].index, bars[-1].index
    here = rows[(rows["bar"] >= first) & (rows["bar"] <= last)]
    ceiling = (1.0, _DOUBTFUL, 1 - _OTHER)[doubt]
    names: tuple[Doubt, ...] = ("", "overtaken", "cadence")
    return Region(
        key=spell(key, here),
        second=spell(second, here),
        first=first,
        last=last,
        margin=float(mean[key] - mean[second]),
        confidence=min(float(sure.mean()), ceiling),
        doubt=names[doubt],
        opens=opens,
    )


def _arrivals(
    kept: list[evidence.Cadence],
    path: NDArray[np.int64],
    bars: tuple[Bar, ...],
    rows: NoteArray,
) -> list[Arrival]:
    out: list[Arrival] = []
    starts = np.flatnonzero(np.r_[True, np.diff(path) != 0])
    seen: set[tuple[int, int]] = set()  # (region, key)
    for c in kept:
        i = c.bar - bars[0].index
        region = int(np.searchsorted(starts, i, side="right"))
        own = c.key == path[i]
        around = rows[(rows["bar"] >= c.bar - _BEFORE) & (rows["bar"] <= c.bar)]
        reaches = not own or (region > 1 and (region, c.key) not in seen)
        seen.add((region, c.key))
        out.append(Arrival(spell(c.key, around), c, _OWN if own else _OTHER, reaches))
    return out


def spell(key: int, rows: NoteArray) -> Key:
    """The key spelled as most of its notes are spelled in `rows`, fewest signs first."""
    tonic = key % 12
    mode: Mode = "minor" if key >= 12 else "major"
    candidates = [Key(*from_fifths(n), mode) for n in range(-7, 12) if n * 7 % 12 == tonic]
    candidates = [k for k in candidates if abs(k.fifths) <= 7]
    natural = np.array((0, 2, 4, -1, 1, 3, 5), dtype=np.int64)  # of C D E .. on the line of fifths
    some = rows[:: max(1, len(rows) // 500)]
    places = natural[some["step"].astype(np.int64)] + 7 * some["alter"].astype(np.int64)

    def unlike(candidate: Key) -> tuple[int, int]:
        # the scale and its raised tones lie around the middle of its signature
        return int(np.abs(places - (candidate.fifths + 2)).sum()), abs(candidate.fifths)

    return min(candidates, key=unlike)
