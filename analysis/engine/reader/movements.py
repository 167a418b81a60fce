"""Movements in one file: where the numbering starts anew after a final barline."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from analysis.engine.model import Bar, Movement
from analysis.engine.reader.bars import Signs
from analysis.engine.reader.raw import Scan

#: A trio or a coda restarts the numbering too, without being a movement.
_SECTIONS = ("trio", "coda", "minore", "maggiore", "variation", "var.", "alternativo")


def split(scan: Scan, bars: Sequence[Bar], signs: Sequence[Signs]) -> list[Movement]:
    """Find the movements of the file; one that spans it all is the usual case.

    A movement starts where the printed numbers start again at 0 or 1 and the
    bar before ends with a final barline (light-heavy without a repeat), unless
    the words there name a section such as "Trio".
    """
    words: dict[int, list[str]] = {}
    for mark in scan.marks:
        if mark.kind == "words":
            words.setdefault(mark.bar, []).append(mark.text)
    starts = [0]
    for i in range(1, len(bars)):
        again = bars[i].label in ("0", "1") and bars[i - 1].label not in ("0", "")
        if not (again and signs[i - 1].final):
            continue
        here = " ".join(words.get(i, [])).lower()
        if not any(here.startswith(name) for name in _SECTIONS):
            starts.append(i)
    single = scan.movement or scan.work or scan.title
    movements = []
    for n, first in enumerate(starts):
        last = (starts[n + 1] if n + 1 < len(starts) else len(bars)) - 1
        title = single if len(starts) == 1 else _title(words.get(first, []), n)
        movements.append(Movement(n, title, first, last))
    return movements


def _title(words: Sequence[str], index: int) -> str:
    long = [w for w in words if len(w) > 4 and w[:1].isupper()]
    return long[0] if long else f"Movement {index + 1}"


def assign(bars: Sequence[Bar], movements: Sequence[Movement]) -> list[Bar]:
    """Bars with the index of their movement."""
    out = list(bars)
    for movement in movements:
        if movement.index:
            for i in range(movement.first_bar, movement.last_bar + 1):
                out[i] = replace(out[i], movement=movement.index)
    return out
