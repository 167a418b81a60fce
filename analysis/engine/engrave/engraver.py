"""The engraver itself; runs only in a child process (`engine.process`).

Loading a symphony's first movement takes seconds, drawing one of its pages
hundredths of a second. So the first call loads, keeps the engraver's own copy
of what it loaded and draws the first page; later calls start from that copy.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import verovio

from analysis.engine.engrave.counted import bars_of, count_in, last_of
from analysis.engine.engrave.cut import kept
from analysis.engine.engrave.prepare import prepare
from analysis.engine.engrave.strip import drawn_tiles, tile_of
from analysis.engine.engrave.svg import Marks, sanitize
from analysis.engine.engrave.view import View
from analysis.engine.errors import EngineError
from analysis.engine.model import Doubt, PartReading
from analysis.engine.process import Parcel

_UNIT = 9.0  # the engraver's half staff space, in its tenths of a millimetre
_STAFF = 8 * _UNIT / 10  # so a staff has this many millimetres before scaling
_WIDEST = 60_000  # of a strip, in the engraver's units
_FAILED = "These bars could not be engraved. Try other bars or parts; the score itself is safe."


def _options(view: View) -> dict[str, Any]:
    """Our own look: music face, spacing, thickness of lines."""
    grow = _STAFF / view.staff
    strip = view.layout == "strip"
    return {
        "font": "Leipzig",
        "breaks": "none" if strip else view.breaks,
        "unit": _UNIT,
        "scale": 100,
        "pageWidth": _WIDEST if strip else round(10 * view.width * grow),
        "pageHeight": _WIDEST if strip else round(10 * view.height * grow),
        "adjustPageWidth": strip,
        "adjustPageHeight": True,
        "pageMarginLeft": 30,
        "pageMarginRight": 30,
        "pageMarginTop": 60,
        "pageMarginBottom": 40,
        "header": "none",
        "footer": "none",
        "condense": "none",
        "breaksNoWidow": not strip,
        "mnumInterval": 0,
        "spacingStaff": 10,
        "spacingSystem": 10,
        "spacingLinear": 0.24,
        "spacingNonLinear": 0.58,
        "staffLineWidth": 0.13,
        "barLineWidth": 0.28,
        "stemWidth": 0.18,
        "lyricSize": 4.2,
        "smuflTextFont": "none",
        "svgFormatRaw": True,
        "svgHtml5": True,
        "svgRemoveXlink": True,
        "svgViewBox": True,
        "svgAdditionalAttribute": ["staff@n", "measure@n"],
        "xmlIdSeed": 1,
    }


def _toolkit(view: View) -> Any:
    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.setOptions(_options(view))
    return toolkit


def _readings(rows: list[dict[str, Any]]) -> list[PartReading]:
    made = []
    for row in rows:
        doubt = row.get("doubt")
        values = {**row, "players": tuple(row.get("players") or ())}
        made.append(PartReading(**{**values, "doubt": Doubt(**doubt) if doubt else None}))
    return sorted(made, key=lambda r: (r.index, r.from_bar))


def _load(toolkit: Any, data: bytes) -> None:
    if not toolkit.loadData(data.decode("utf-8")) or toolkit.getPageCount() < 1:
        raise EngineError(_FAILED)


@dataclass(slots=True)
class _Opened:
    """A toolkit with a view loaded and laid out."""

    toolkit: Any
    staves: list[tuple[int, str]]  # part index and id, top to bottom
    bars: int  # of the file
    mei: bytes  # what it was loaded from


def _open(parcel: Parcel, view: View) -> _Opened:
    """Load a view, always from the engraver's own copy.

    The engraver breaks lines a little differently when it comes from
    MusicXML; pages drawn by different calls would lose a bar between them.
    """
    if "mei" in parcel.blobs:
        staves = [(int(i), str(p)) for i, p in parcel.value["staves"]]
        bars, mei = int(parcel.value["bars"]), parcel.blobs["mei"]
    else:
        made = prepare(parcel.blobs["canonical"], view, _readings(parcel.value.get("readings", [])))
        staves, bars, mei = list(made.staves), made.bars, _own_copy(made.xml, view)
        if made.counted:
            mei = count_in(mei, made.counted)
    toolkit = _toolkit(view)
    _load(toolkit, mei)
    return _Opened(toolkit, staves, bars, mei)


def _own_copy(xml: bytes, view: View) -> bytes:
    """MusicXML as the engraver's own format; without a layout, which would be thrown away."""
    toolkit = _toolkit(view)
    toolkit.setOptions({"breaks": "none"})
    _load(toolkit, xml)
    mei: str = toolkit.getMEI()
    return mei.encode("utf-8")


def _select(opened: _Opened, view: View) -> tuple[int, int]:
    """Hide the margin of a passage; first and last bar index shown."""
    bars = opened.bars
    first, last = _shown(view, bars)
    if last >= bars:
        raise EngineError(f"The score has {bars} bars; the passage ends after them.")
    if view.bars is None or view.layout == "strip":  # a strip selects its lengths itself
        return first, last
    low, high = kept(view.bars, bars)
    if (first, last) != (low, high):
        there = bars_of(opened.mei) if view.rests == "counted" else range(low, high + 1)
        shown = [n for n, k in enumerate(there, 1) if first <= k <= last]
        opened.toolkit.select({"measureRange": f"{shown[0]}-{shown[-1]}"})
        opened.toolkit.redoLayout()
    return first, last


def _draw(opened: _Opened, view: View, wanted: list[int], scope: str) -> dict[str, bytes]:
    """Pages by name; of a strip its tiles (`strip`)."""
    count = _count(opened, view)
    for n in wanted:
        if not 1 <= n <= count:
            raise EngineError(f"This view has {count} pages; there is no page {n}.")
    if view.layout == "strip":
        low = kept(view.bars, opened.bars)[0] if view.bars else 0
        made = drawn_tiles(
            opened.toolkit, wanted, _shown(view, opened.bars), low, len(opened.staves)
        )
    else:
        made = ((n, opened.toolkit.renderToSVG(n)) for n in wanted)
    reach = _reach(opened, view)
    return {
        f"page-{n}": sanitize(svg, Marks(f"{scope}p{n}", opened.staves, reach)) for n, svg in made
    }


def _reach(opened: _Opened, view: View) -> dict[int, int]:
    """Of each bar that stands for several, the last one."""
    if view.rests != "counted":
        return {}
    first, last = _shown(view, opened.bars)
    return last_of([k for k in bars_of(opened.mei) if first <= k <= last], last)


def _shown(view: View, bars: int) -> tuple[int, int]:
    return view.bars if view.bars is not None else (0, bars - 1)


def _count(opened: _Opened, view: View) -> int:
    if view.layout == "strip":
        first, last = _shown(view, opened.bars)
        return tile_of(last - first) + 1
    count: int = opened.toolkit.getPageCount()
    return count


def _page_of(opened: _Opened, view: View, first: int, last: int) -> list[int]:
    """The page on which each shown bar stands."""
    if view.layout == "strip":
        return [tile_of(k) + 1 for k in range(last - first + 1)]
    if view.rests != "counted":
        return [opened.toolkit.getPageWithElement(f"b{k}") for k in range(first, last + 1)]
    there, found = set(bars_of(opened.mei)), [1]
    for k in range(first, last + 1):  # a bar counted in stands where its rest does
        found.append(opened.toolkit.getPageWithElement(f"b{k}") if k in there else found[-1])
    return found[1:]


def pages(parcel: Parcel) -> Parcel:
    """Load a view; give the page count, the first pages and the engraver's copy.

    Parameters
    ----------
    parcel : Parcel
        value ``view``, ``scope``, ``readings``, ``first`` (pages to draw at
        once); blob ``canonical``, or ``mei`` with values ``staves``, ``bars``.

    Returns
    -------
    Parcel
        value ``pages``, ``first_bar``, ``page_of`` (per bar shown),
        ``staves``, ``bars``; blobs ``page-1`` ..., and ``mei`` unless given.
    """
    view = View.from_dict(parcel.value["view"])
    opened = _open(parcel, view)
    staves, bars = opened.staves, opened.bars
    blobs = {} if "mei" in parcel.blobs else {"mei": opened.mei}
    first, last = _select(opened, view)
    count = _count(opened, view)
    page_of = _page_of(opened, view, first, last)
    wanted = list(range(1, min(count, int(parcel.value.get("first", 1))) + 1))
    blobs.update(_draw(opened, view, wanted, parcel.value["scope"]))
    value = {
        "pages": count,
        "first_bar": first,
        "page_of": page_of,
        "staves": [list(s) for s in staves],
        "bars": bars,
    }
    return Parcel(value, blobs)


def page(parcel: Parcel) -> Parcel:
    """Draw further pages of a view from the engraver's copy.

    Parameters
    ----------
    parcel : Parcel
        value ``view``, ``scope``, ``numbers``, ``staves``, ``bars``; blob ``mei``.
    """
    view = View.from_dict(parcel.value["view"])
    opened = _open(parcel, view)
    _select(opened, view)
    numbers = [int(n) for n in parcel.value["numbers"]]
    return Parcel({}, _draw(opened, view, numbers, parcel.value["scope"]))


def passage(parcel: Parcel) -> Parcel:
    """All pages of a view at once; keeps no copy. For excerpts."""
    answer = pages(Parcel({**parcel.value, "first": 1_000}, parcel.blobs))
    answer.blobs.pop("mei", None)
    return answer
