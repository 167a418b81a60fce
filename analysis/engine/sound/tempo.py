"""How fast: the tempo of each bar, from metronome marks, tempo words or a default."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.engine.model import TICKS, Bar, ScoreTable
from analysis.engine.pitch import plain

#: Beats a minute for tempo words: the middle of the metronome's own bands, common practice.
_WORDS: tuple[tuple[str, float], ...] = (
    ("larghetto", 62.0),
    ("allegretto", 108.0),
    ("andantino", 84.0),
    ("prestissimo", 190.0),
    ("adagietto", 68.0),
    ("grave", 42.0),
    ("largo", 48.0),
    ("lento", 52.0),
    ("langsam", 52.0),
    ("adagio", 58.0),
    ("andante", 76.0),
    ("ma[eë]?ss?ig", 92.0),
    ("moderato", 100.0),
    ("me[nu]?nuett?o?|minuet|menuet", 120.0),
    ("allegro|schnell|lebhaft|vif", 132.0),
    ("vivace|vivo", 150.0),
    ("presto", 172.0),
)
DEFAULT = 92.0  # quarters a minute where the page says nothing
LOWEST, HIGHEST = 20.0, 400.0


@dataclass(frozen=True, slots=True)
class TempoChange:
    """From `tick` (printed order) on, so many quarters a minute."""

    tick: int
    quarters: float


def tempo_changes(table: ScoreTable) -> list[TempoChange]:
    """Tempo of the whole file in printed order, beginning at tick 0.

    Metronome marks win over words in the same bar; words count only at the
    head of a movement, where no mark stands. "a tempo" needs no rule: the
    files carry hidden marks there or nothing.
    """
    found: dict[int, float] = {}
    for mark in table.marks:
        if mark.kind == "tempo" and mark.number > 0:
            found[mark.onset] = min(max(mark.number, LOWEST), HIGHEST)
    for movement in table.movements:
        first = table.bars[movement.first_bar]
        if first.start not in found:
            found[first.start] = _from_words(table, movement.first_bar) or _kept(found, first)
    return [TempoChange(tick, found[tick]) for tick in sorted(found)]


def _kept(found: dict[int, float], first: Bar) -> float:
    """A mark just inside the first bar serves from its start on."""
    near = [v for tick, v in found.items() if first.start <= tick < first.end]
    return near[0] if near else DEFAULT


def _from_words(table: ScoreTable, bar: int) -> float | None:
    first = table.bars[bar]
    for mark in table.marks:
        if mark.kind in ("words", "tempo") and first.start <= mark.onset < first.end:
            beats = beats_of_words(mark.text)
            if beats is not None:
                return beats * _beat_in_quarters(first)
    return None


def beats_of_words(text: str) -> float | None:
    """Beats a minute for "Allegro con brio"; None if the words name no tempo.

    >>> beats_of_words("Andante con moto"), beats_of_words("dolce")
    (76.0, None)
    """
    words = plain(text)
    for pattern, beats in _WORDS:
        if re.match(rf"(?:un poco |molto |poco |piu )?(?:{pattern})\b", words):
            return beats
    return None


def _beat_in_quarters(bar: Bar) -> float:
    """The counted beat: dotted in 6/8, 9/8, 12/8, else the denominator."""
    unit = 4 / (bar.beat_type or 4)
    if bar.beat_type >= 8 and bar.beats % 3 == 0 and bar.beats > 3:
        return unit * 3
    return unit


@dataclass(frozen=True, slots=True)
class Clock:
    """Ticks of the performance to seconds."""

    ticks: tuple[int, ...]
    quarters: tuple[float, ...]
    seconds: tuple[float, ...]

    @classmethod
    def of(cls, changes: Sequence[TempoChange]) -> Clock:
        seconds = [0.0]
        for before, after in itertools.pairwise(changes):
            seconds.append(seconds[-1] + (after.tick - before.tick) / TICKS * 60 / before.quarters)
        return cls(
            tuple(c.tick for c in changes), tuple(c.quarters for c in changes), tuple(seconds)
        )

    def at(self, tick: int) -> float:
        """Seconds of a tick."""
        place = int(np.searchsorted(self.ticks, tick, side="right")) - 1
        place = max(place, 0)
        return self.seconds[place] + (tick - self.ticks[place]) / TICKS * 60 / self.quarters[place]

    def quarters_at(self, tick: int) -> float:
        """Quarters a minute in force at a tick."""
        return self.quarters[max(int(np.searchsorted(self.ticks, tick, side="right")) - 1, 0)]
