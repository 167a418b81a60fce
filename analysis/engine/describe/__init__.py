"""A passage in words and as a table, for those who read by ear.

`describe` tells bars i..j: full (with what the reading says), or neutral (what the page shows
and nothing else); `grid` gives parts by bars. Both raise `EngineError` with a sentence where
the bars make no passage.
"""

from __future__ import annotations

from analysis.engine.describe.grid import MOST_BARS, Grid, grid
from analysis.engine.describe.tell import Description, describe

__all__ = ["MOST_BARS", "Description", "Grid", "describe", "grid"]
