"""One module a kind: its rule by the contract, and sorts of claims to draw.

A sort is (name, hard, make): `make()` gives a claim or None; `hard` ones are meant to be mistaken.
"""

from __future__ import annotations

from tests.simulated.kinds import (
    crossing,
    doubling_drawn,
    layout,
    marking,
    open_tones,
    parallel,
    playing,
    range_,
)
from tests.simulated.kinds.shape import DrawnKind

KINDS: dict[str, DrawnKind] = {
    "playing": playing.KIND,
    "doubling": doubling_drawn.KIND,
    "parallel": parallel.KIND,
    "crossing": crossing.KIND,
    "range": range_.KIND,
    "marking": marking.KIND,
    "layout": layout.KIND,
    "open-tones": open_tones.KIND,
}
