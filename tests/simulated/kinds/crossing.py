"""A part lower on the page that sounds above an upper one."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace

import numpy as np

from tests.simulated.expecting import BASS_WRITTEN, PLACE, UNTRANSPOSED, Rule
from tests.simulated.judging import (
    WRONG,
    Asked,
    Between,
    Verdicts,
    denied,
    place_of_occurrence,
)
from tests.simulated.kinds.shape import DrawnKind, Sort, span
from tests.simulated.music import SLACK, Music

MARGIN = 2  # bars around the claimed ones in which both must be single lines


@dataclass(frozen=True)
class Moment:
    """The lower part is the higher one over start <= t < end (ticks); `notes` begin in it."""

    start: int
    end: int
    notes: int


def crossings(music: Music, upper: int, lower: int) -> list[Moment]:
    """All moments, maximal: both sound and the lower one is above."""
    key = ("crossings", upper, lower)
    if key not in music._kept:
        music._kept[key] = _crossings(music, upper, lower)
    return music._kept[key]  # type: ignore[return-value]


def _crossings(music: Music, upper: int, lower: int) -> list[Moment]:
    high, low = music.notes[upper], music.notes[lower]
    times = np.unique(np.concatenate([high.onset, high.end, low.onset, low.end]))
    pitches = []
    for notes in (high, low):
        at = np.searchsorted(notes.onset, times, side="right") - 1
        there = (at >= 0) & (notes.end[np.maximum(at, 0)] > times) if len(at) else at >= 0
        pitches.append(np.where(there, notes.pitch[np.maximum(at, 0)], -1))
    over = (pitches[0] >= 0) & (pitches[1] >= 0) & (pitches[1] > pitches[0])
    found: list[Moment] = []
    begins = np.unique(np.concatenate([high.onset, low.onset]))
    k = 0
    while k < len(times) - 1:
        if not over[k]:
            k += 1
            continue
        j = k
        while j + 1 < len(times) and over[j]:
            j += 1
        start, end = int(times[k]), int(times[j])
        if end - start > SLACK:
            notes = 1 + int(((begins > start) & (begins < end)).sum())
            found.append(Moment(start, end, notes))
        k = j
    return found


def judge(music: Music, asked: Asked) -> Between | None:
    (upper,), (lower,) = asked.fields["upper"], asked.fields["lower"]
    first, last = max(asked.first - MARGIN, 0), min(asked.last + MARGIN, music.bars - 1)
    both = music.single[[upper, lower], first : last + 1]
    if not both.all():
        return None
    clear: set[int] = set()
    every: set[int] = set()
    for moment in crossings(music, upper, lower):
        a, b = music.bar_of(np.array([moment.start, moment.end - 1])).tolist()
        every |= set(range(a, b + 1))
        beat = music.beat[a] if music.beat else None
        if moment.notes >= 2 or (beat and moment.end - moment.start >= beat):
            clear |= set(range(a, b + 1))
    if asked.negated:  # a single dip is no clear run: not said
        return denied(clear, every, asked.bars)
    place = place_of_occurrence(every, asked.bars)
    found = Verdicts(place=place) if place != "wrong" else WRONG
    beside = every & {asked.first - 1, asked.last + 1}
    best = Verdicts(place="near") if place == "wrong" and beside else found
    return Between(found, best)


def sorts(music: Music, rng: random.Random) -> list[Sort]:
    parts = music.melodic
    pairs = [(a, b) for a in parts for b in parts if a < b and b - a <= 4]
    if not pairs:
        return []
    known: list[tuple[int, int, Moment]] = []
    for upper, lower in rng.sample(pairs, min(40, len(pairs))):
        known += [(upper, lower, m) for m in crossings(music, upper, lower)]
    short = [k for k in known if k[2].notes == 1]
    shifted = [(a, b) for a, b in pairs if music.transposition(a) or music.transposition(b)]

    def at(pool: list[tuple[int, int, Moment]], spread: int) -> Asked | None:
        if not pool:
            return None
        upper, lower, moment = rng.choice(pool)
        bar = int(music.bar_of(np.array([moment.start]))[0])
        first = max(bar - rng.randint(0, spread), 0)
        last = min(bar + rng.randint(0, spread), music.bars - 1)
        return Asked("crossing", first, last, (), {"upper": (upper,), "lower": (lower,)})

    def true() -> Asked | None:
        return at(known, 3)

    def dip() -> Asked | None:
        return at(short, 2)

    def long() -> Asked | None:
        """More bars than an occurrence may be claimed for."""
        return at(known, 12)

    def chance() -> Asked:
        upper, lower = rng.choice(pairs)
        return Asked("crossing", *span(rng, music), (), {"upper": (upper,), "lower": (lower,)})

    def moved() -> Asked | None:
        found, by = at(known, 0), rng.choice((-1, 1))
        if found is None or not 0 <= found.first + by < music.bars:
            return None
        return found.moved(by)

    def on_paper() -> Asked | None:
        """Parts that cross as written, and not in sound."""
        if not shifted:
            return None
        upper, lower = rng.choice(shifted)
        part = upper if music.transposition(upper) else lower
        paper = crossings(music.as_written([part]), upper, lower)
        return at([(upper, lower, m) for m in paper], 1)

    def negated() -> Asked | None:
        found = rng.choice((true, chance, chance))()
        return replace(found, negated=True) if found else None

    return [("true", False, true), ("dip", True, dip), ("chance", False, chance),
            ("long", True, long), ("moved", True, moved), ("paper", True, on_paper),
            ("negated", False, negated)]  # fmt: skip


KIND = DrawnKind(Rule(judge, (*PLACE, BASS_WRITTEN, UNTRANSPOSED)), sorts)
