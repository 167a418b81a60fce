"""Calls that run the engraver in a process of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, field

from analysis.engine.engrave.view import View
from analysis.engine.model import PartReading
from analysis.engine.process import Bounds, Parcel, run

BOUNDS = Bounds(memory=2048 << 20, cpu=120, wall=180.0)


@dataclass(slots=True)
class Engraved:
    """What the engraver made of a view.

    Attributes
    ----------
    pages : int
        How many there are.
    svg : dict of int to bytes
        Those drawn so far, by number from 1.
    first_bar : int
        Index of the first bar shown.
    page_of : list of int
        The page of each bar shown, from `first_bar` on.
    staves : list of (int, str)
        Part index and id of each staff, top to bottom.
    bars : int
        In the whole file.
    mei : bytes
        The engraver's copy, to start from again; empty if it was given.
    seconds, peak : float, int
        Time and resident memory (bytes) of the child.
    """

    pages: int
    svg: dict[int, bytes]
    first_bar: int
    page_of: list[int]
    staves: list[tuple[int, str]]
    bars: int
    mei: bytes = b""
    seconds: float = field(default=0.0, compare=False)
    peak: int = field(default=0, compare=False)


def open_view(
    canonical: bytes,
    view: View,
    readings: Sequence[PartReading] = (),
    *,
    first: int = 1,
    bounds: Bounds = BOUNDS,
) -> Engraved:
    """Load a score and draw the first pages of a view.

    Parameters
    ----------
    canonical : bytes
        From the gate; nothing else may come here.
    view : View
    readings : sequence of PartReading, optional
        Confirmed readings, for sounding pitch.
    first : int
        Pages to draw at once.

    Raises
    ------
    EngineError
        If the view does not fit the score.
    Stopped
        If the engraver broke off, took too long or too much memory.
    """
    return _call("engrave.pages", {"canonical": canonical}, view, readings, first, bounds)


def passage(
    canonical: bytes,
    view: View,
    readings: Sequence[PartReading] = (),
    *,
    bounds: Bounds = BOUNDS,
) -> Engraved:
    """All pages of a short view at once, and no copy to keep."""
    return _call("engrave.passage", {"canonical": canonical}, view, readings, 1000, bounds)


def again(engraved: Engraved, view: View, readings: Sequence[PartReading] = (), *,
          first: int = 1, bounds: Bounds = BOUNDS) -> Engraved:  # fmt: skip
    """From the engraver's copy: another sheet for equal `View.source_key`."""
    value = {"staves": [list(s) for s in engraved.staves], "bars": engraved.bars}
    return _call("engrave.pages", {"mei": engraved.mei}, view, readings, first, bounds, value)


def pages(
    engraved: Engraved,
    view: View,
    numbers: Sequence[int],
    readings: Sequence[PartReading] = (),
    *,
    bounds: Bounds = BOUNDS,
) -> dict[int, bytes]:
    """Draw further pages of a view that was opened; by number from 1."""
    value = {
        "view": view.as_dict(),
        "scope": view.key(readings)[:8],
        "numbers": list(numbers),
        "staves": [list(s) for s in engraved.staves],
        "bars": engraved.bars,
    }
    outcome = run("engrave.page", Parcel(value, {"mei": engraved.mei}), bounds)
    return _svg(outcome.parcel)


def _call(
    name: str,
    blobs: dict[str, bytes],
    view: View,
    readings: Sequence[PartReading],
    first: int,
    bounds: Bounds,
    more: dict[str, object] | None = None,
) -> Engraved:
    value = {
        "view": view.as_dict(),
        "scope": view.key(readings)[:8],
        "readings": [asdict(r) for r in readings],
        "first": first,
        **(more or {}),
    }
    outcome = run(name, Parcel(value, blobs), bounds)
    answer = outcome.parcel.value
    return Engraved(
        pages=answer["pages"],
        svg=_svg(outcome.parcel),
        first_bar=answer["first_bar"],
        page_of=answer["page_of"],
        staves=[(int(i), str(p)) for i, p in answer["staves"]],
        bars=answer["bars"],
        mei=outcome.parcel.blobs.get("mei", b""),
        seconds=outcome.seconds,
        peak=outcome.peak,
    )


def _svg(parcel: Parcel) -> dict[int, bytes]:
    return {
        int(name.removeprefix("page-")): data
        for name, data in parcel.blobs.items()
        if name.startswith("page-")
    }
