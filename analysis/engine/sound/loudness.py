"""How loud: printed levels, hairpins, accents, as MIDI velocities."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.engine.model import Articulation, Mark, ScoreTable

#: ppp .. fff; even steps on the velocity scale (common practice, no source).
_LEVELS = (0, 30, 41, 53, 64, 76, 88, 101, 113)
_UNSAID = 70  # where the page gives no level: between mp and mf
_HAIRPIN = 14  # a hairpin without a level at its end moves by about one level
_MARCATO, _ACCENT = int(Articulation.MARCATO), int(Articulation.ACCENT)
_SUDDEN = ("sf", "sfz", "fz", "sffz", "rf", "rfz", "fp", "sfp", "sfpp")


class Loudness:
    """Velocities of a table's notes."""

    def __init__(self, table: ScoreTable) -> None:
        self._hairpins: dict[int, list[tuple[int, int, int]]] = defaultdict(list)
        self._sudden: dict[int, set[int]] = defaultdict(set)
        levels: dict[int, list[tuple[int, int]]] = defaultdict(list)
        for mark in table.marks:
            if mark.kind == "wedge" and mark.end > mark.onset:
                sign = 1 if mark.text.startswith("cresc") else -1
                self._hairpins[mark.part].append((mark.onset, mark.end, sign))
            elif mark.kind == "dynamic":
                self._note_level(mark, levels)
        self._levels: dict[int, tuple[NDArray[np.int64], list[int]]] = {}
        for part, found in levels.items():
            found.sort()
            self._levels[part] = (np.array([t for t, _ in found]), [v for _, v in found])

    def _note_level(self, mark: Mark, levels: dict[int, list[tuple[int, int]]]) -> None:
        if mark.text.strip().lower() in _SUDDEN:
            self._sudden[mark.part].add(mark.onset)
        if mark.number > 0:
            levels[mark.part].append((mark.onset, int(mark.number)))

    def velocity(self, note: Any) -> int:
        """1..127 for a row of the note table."""
        level = int(note["dynamic"])
        value = float(_LEVELS[level] if 0 < level < len(_LEVELS) else _UNSAID)
        part, onset = int(note["part"]), int(note["onset"])
        value += self._hairpin(part, onset, value)
        articulation = int(note["articulation"])
        if articulation & _MARCATO or onset in self._sudden.get(part, ()):
            value += 18
        elif articulation & _ACCENT:
            value += 12
        return int(min(max(value, 12), 124))

    def _hairpin(self, part: int, onset: int, now: float) -> float:
        for start, end, sign in self._hairpins.get(part, ()):
            if start <= onset < end:
                share = (onset - start) / (end - start)
                return share * self._goal(part, end, now, sign)
        return 0.0

    def _goal(self, part: int, end: int, now: float, sign: int) -> float:
        """To the level printed at the hairpin's end, if it lies that way; else about one level."""
        ticks, values = self._levels.get(part, (np.array([], dtype=np.int64), []))
        place = int(np.searchsorted(ticks, end))
        if place < len(values) and ticks[place] - end <= 10_080:
            step = _LEVELS[min(values[place], 8)] - now
            if step * sign > 0:
                return step
        return float(sign * _HAIRPIN)
