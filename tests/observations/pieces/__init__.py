"""Excerpts of an invented serenade in E flat for small orchestra, one for each device.

Written pitches, as a copyist would write them (`tests.engine.written`); what sounds stands in the
docstrings. Bars are counted from 1 in each excerpt.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tests.engine.written import Part

CLARINET = (-2, -1)  # in B flat
HORN = (-9, -5)  # in E flat
TRUMPET = (3, 2)  # in E flat
BASS = (-12, -7)


@dataclass(frozen=True)
class Excerpt:
    """Some bars: the parts from top to bottom, and the metre."""

    parts: tuple[Part, ...]
    time: str = "4/4"


#: by name; filled by the modules of the movements
EXCERPTS: dict[str, Callable[[], Excerpt]] = {}


def excerpt(make: Callable[[], Excerpt]) -> Callable[[], Excerpt]:
    """Keep an excerpt under the name of its function."""
    EXCERPTS[make.__name__.replace("_", "-")] = make
    return make


def then_rest(text: str, rest: int = 0) -> str:
    """The same bars, then so many bars of rest."""
    return " | ".join([text, *["r"] * rest])


from tests.observations.pieces import adagio, marcia, menuetto  # noqa: E402, F401
