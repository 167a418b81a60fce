"""The next notes of the key, above and below a note: what trills and turns touch."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from typing import Any

from analysis.engine.model import ScoreTable

_SEMITONES = (0, 2, 4, 5, 7, 9, 11)
#: Steps in the order in which a signature sharpens them; flats go the other way.
_SHARPENED = (3, 0, 4, 1, 5, 2, 6)


class Neighbours:
    """By the signatures each part has on the page; a part without one is in no key."""

    def __init__(self, table: ScoreTable) -> None:
        found: dict[int, list[tuple[int, int]]] = defaultdict(list)
        for mark in table.marks:
            if mark.kind == "key":
                found[mark.part].append((mark.onset, int(mark.number)))
        self._keys = {part: sorted(keys) for part, keys in found.items()}

    def of(self, note: Any) -> tuple[int, int]:
        """Semitones to the note above (1 or 2) and below (-1 or -2).

        As written: what transposes keeps its intervals.
        """
        keys = self._keys.get(int(note["part"]), [])
        place = bisect_right(keys, (int(note["onset"]), 99)) - 1
        fifths = keys[place][1] if place >= 0 else 0
        step, alter = int(note["wstep"]), int(note["walter"])
        here = _SEMITONES[step] + alter
        up, down = (
            _SEMITONES[(step + by) % 7]
            + 12 * ((step + by) // 7)
            + _altered((step + by) % 7, fifths)
            for by in (1, -1)
        )
        return min(max(up - here, 1), 2), max(min(down - here, -1), -2)


def _altered(step: int, fifths: int) -> int:
    """
    >>> [_altered(3, 1), _altered(6, -1), _altered(3, 0)]
    [1, -1, 0]
    """
    if fifths > 0:
        return int(step in _SHARPENED[:fifths])
    return -int(step in _SHARPENED[fifths:]) if fifths < 0 else 0
