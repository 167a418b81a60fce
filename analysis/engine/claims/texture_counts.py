"""What a bar cannot be: textures that counting alone shuts out.

A texture is judged, and another word may be argued for; that four notes at once are no single line
is counted. Only such bars speak against a claim. Limits: common practice, no source.
"""

from __future__ import annotations

import numpy as np

from analysis.engine.analyses.attacks import BoolArray, memo
from analysis.engine.analyses.weave import Weave, first_of_group, weave
from analysis.engine.model import Movement, ScoreTable

#: share of moments with one pitch class: below, there is harmony; above, there is none
HARMONY, NONE = 0.3, 0.95
#: attacks a quarter, and share of changed notes, of a line that moves
LIVELY, MOVING = 1.0, 0.5
#: share of the playing lines in the commonest rhythm, below which it is no chorale
APART = 0.5
#: share of repeated notes of the steadiest line, below which nothing pulses
STEADY = 0.3


def shut_out(table: ScoreTable, movement: Movement, texture: str) -> frozenset[int]:
    """Bars (indices) that cannot be of this texture."""
    found = memo(
        table, f"_textures_shut_out_{movement.index}", lambda: _all(weave(table, movement))
    )
    bars = found.get(texture)
    if bars is None:
        return frozenset()
    return frozenset((np.flatnonzero(bars) + movement.first_bar).tolist())


def _all(woven: Weave) -> dict[str, BoolArray]:
    played: BoolArray = woven.count.max(axis=0, initial=0) >= 2
    density = woven.count / np.maximum(woven.quarters[None, :], 1e-9)
    lively = (density >= LIVELY) & (woven.moves >= MOVING) & (woven.count >= 3)
    repeats = np.where(woven.count >= 3, woven.repeats, 0.0).max(axis=0, initial=0.0)
    bare = played & (woven.alone >= NONE)
    lines = (woven.count > 0).sum(axis=0)
    found = {
        "single-line": played & (woven.alone <= HARMONY),
        "held-chords": lively.any(axis=0) | bare,
        "chorale": ((lines >= 3) & (_together(woven) < APART)) | bare,
        "pulse": (repeats < STEADY) & played,
    }
    for texture in ("melody-accompaniment", "melody-countermelody", "part-writing", "layered"):
        found[texture] = bare
    return found


def _together(woven: Weave) -> np.ndarray:
    """Share of the playing lines that have the commonest rhythm of each bar."""
    group = first_of_group(woven.rhythm)
    share = np.ones(len(woven.quarters))
    for bar, row in enumerate(group):
        own = row[row >= 0]
        if len(own):
            share[bar] = np.unique(own, return_counts=True)[1].max() / len(own)
    return share
