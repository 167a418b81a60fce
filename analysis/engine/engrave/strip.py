"""One endless system, in tiles that stand side by side.

A symphony on one system is a drawing of many megabytes and metres, and the engraver's time
grows with the square of its bars (458 bars on 24 staves: 108 s at once). So a strip is engraved
in lengths, and each length is cut at bar lines into tiles of `TILE` bars. All tiles of a length
share one height, so that their staves meet; a new length begins with clefs and names again.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from copy import deepcopy
from typing import Any

from lxml import etree

from analysis.engine.errors import EngineError

Element = etree._Element

TILE = 8  # bars
_WORK = 250_000  # bars squared times staves of one length: a few seconds of the engraver's
_FIRST_X = re.compile(r"M\s*([\d.]+)[ ,][\d.]+\s+L\s*([\d.]+)[ ,]")  # of a staff line
_SHIFT = re.compile(r"translate\(([\d.]+)")

_FAILED = "This line could not be engraved. Look at the pages instead; the score itself is safe."


def tile_of(bar: int) -> int:
    """The tile, from 0, of a bar counted from the first one shown."""
    return bar // TILE


def length_of(staves: int) -> int:
    """Bars of one length: whole tiles, at least one."""
    return max(1, int(math.sqrt(_WORK / max(1, staves))) // TILE) * TILE


def drawn_tiles(
    toolkit: Any, wanted: Iterable[int], shown: tuple[int, int], low: int, staves: int
) -> Iterator[tuple[int, bytes]]:
    """Draw tiles of what a toolkit has loaded.

    Parameters
    ----------
    toolkit
        Of the engraver, laid out without line breaks.
    wanted : iterable of int
        Tiles by number, from 1.
    shown : (int, int)
        First and last bar index of the view.
    low : int
        Index of the first bar the toolkit has loaded.
    staves : int

    Yields
    ------
    (int, bytes)
        The number and its drawing, not yet sanitized.
    """
    per_length = length_of(staves) // TILE
    lengths: dict[int, list[int]] = {}
    for n in wanted:
        lengths.setdefault((n - 1) // per_length, []).append(n)
    for length, numbers in lengths.items():
        first = shown[0] + length * per_length * TILE
        last = min(shown[1], first + per_length * TILE - 1)
        toolkit.select({"measureRange": f"{first - low + 1}-{last - low + 1}"})
        toolkit.redoLayout()
        made = _Length(toolkit.renderToSVG(1))
        for n in numbers:
            start = ((n - 1) % per_length) * TILE
            yield n, made.cut(start, min(last - first, start + TILE - 1))


class _Length:
    """An engraved length, its bars taken out so that tiles can be made of them."""

    def __init__(self, svg: str) -> None:
        self.root = etree.fromstring(svg.encode("utf-8"))
        system, sheet = self._frame(self.root)
        self.bars = [g for g in system if "measure" in _classes(g)]
        for bar in self.bars:
            system.remove(bar)
        margin = system.getparent()
        found = _SHIFT.search(margin.get("transform", "") if margin is not None else "")
        shift = float(found[1]) if found else 0.0
        _, _, self.width, self.height = (float(v) for v in sheet.get("viewBox", "").split())
        self.edges = [tuple(x + shift for x in _edges(bar)) for bar in self.bars]

    @staticmethod
    def _frame(root: Element) -> tuple[Element, Element]:
        """The group of the system and the drawing that scales it."""
        system = next((g for g in root.iter("{*}g") if "system" in _classes(g)), None)
        sheet = next((e for e in root.iter("{*}svg") if "definition-scale" in _classes(e)), None)
        if system is None or sheet is None or not sheet.get("viewBox"):
            raise EngineError(_FAILED)
        return system, sheet

    def cut(self, first: int, last: int) -> bytes:
        """Bars `first` to `last`; names and brackets stay with the first tile."""
        made = deepcopy(self.root)
        system, sheet = self._frame(made)
        if first:
            for child in list(system):
                system.remove(child)
        system.extend(self.bars[first : last + 1])
        left = self.edges[first][0] if first else 0.0
        right = self.edges[last][1] if last < len(self.bars) - 1 else self.width
        sheet.set("viewBox", f"{left:.0f} 0 {right - left:.0f} {self.height:.0f}")
        made.set("viewBox", f"0 0 {(right - left) / 10:.1f} {self.height / 10:.1f}")
        return etree.tostring(made)


def _classes(element: Element) -> list[str]:
    return element.get("class", "").split()


def _edges(bar: Element) -> tuple[float, float]:
    """Where the staff lines of a bar begin and end."""
    for path in bar.iterfind("{*}g/{*}path"):
        found = _FIRST_X.match(path.get("d", ""))
        if found:
            return float(found[1]), float(found[2])
    raise EngineError(_FAILED)
