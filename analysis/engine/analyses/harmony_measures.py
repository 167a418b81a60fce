"""How much the harmony presses, bar by bar: its pace, its dissonance, the chromatic bass.

Curves for whatever asks whether tension grows by harmony (a build-up): one number per bar, from
`harmony.harmony`. They say nothing by themselves; a rise is judged by whoever reads them.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.harmony import Harmony, harmony
from analysis.engine.model import ScoreTable

Floats = NDArray[np.float64]

#: dissonance of a chord whose members all sound and nothing else: 0 a triad, 1 the harshest.
#: Common practice, no source.
TENSION = {
    "major": 0.0,
    "minor": 0.0,
    "open fifth": 0.0,
    "": 0.0,
    "dominant seventh": 0.35,
    "minor seventh": 0.3,
    "major seventh": 0.4,
    "diminished": 0.4,
    "half-diminished seventh": 0.45,
    "augmented": 0.5,
    "dominant seventh with lowered fifth": 0.5,
    "diminished seventh": 0.6,
    "German sixth": 0.5,
    "Italian sixth": 0.5,
    "French sixth": 0.5,
}
_FOREIGN = 1.0  # a bar wholly of foreign tones


def harmonic_rhythm(table: ScoreTable) -> Floats:
    """New chords that begin in each bar, shape (bars,).

    A chord that is taken up again after a silence is no new one.
    """
    return memo(table, "_harmonic_rhythm", lambda: _rhythm(table, harmony(table)))


def _rhythm(table: ScoreTable, found: Harmony) -> Floats:
    bars = np.zeros(len(table.bars))
    before: tuple[int, str] | None = None
    movement = -1
    for chord in found.chords:
        bar = int(found.bar[chord.first])
        if table.bars[bar].movement != movement:
            before, movement = None, table.bars[bar].movement
        here = (chord.root, chord.quality)
        if chord.named and here != before:
            bars[bar] += 1.0
            before = here
    return bars


def dissonance(table: ScoreTable) -> Floats:
    """How dissonant each bar is on the average, 0..1, shape (bars,); 0 where nothing sounds.

    By sounding time: the tension of the chord (`TENSION`) over the share of weight that is of
    the chord, and 1 over the share that is foreign to it.
    """
    return memo(table, "_dissonance", lambda: _dissonance(table, harmony(table)))


def _dissonance(table: ScoreTable, found: Harmony) -> Floats:
    if not len(found.bar):
        return np.zeros(len(table.bars))
    length = np.diff(found.edges).astype(np.float64)
    value = np.zeros(len(found.bar))
    for chord in found.chords:
        here = slice(chord.first, chord.last + 1)
        inside = found.weight[here][:, sorted(chord.classes)].sum(axis=1)
        share = inside / np.maximum(found.weight[here].sum(axis=1), 1e-9)
        value[here] = share * TENSION[chord.quality] + (1 - share) * _FOREIGN
    length = np.where(found.of_slice >= 0, length, 0.0)
    total = np.bincount(found.bar, value * length, len(table.bars))
    result: Floats = total / np.maximum(np.bincount(found.bar, length, len(table.bars)), 1e-9)
    return result


def chromatic_bass(table: ScoreTable) -> Floats:
    """Semitone steps of the lowest sounding note that begin in each bar, shape (bars,).

    A step counts from slice to slice, and only as part of a line of at least two semitones in
    one direction: a leading note under its tonic alone is no chromatic bass.
    """
    return memo(table, "_chromatic_bass", lambda: _chromatic(table, harmony(table)))


def _chromatic(table: ScoreTable, found: Harmony) -> Floats:
    bars = np.zeros(len(table.bars))
    movement = [table.bars[b].movement for b in found.bar.tolist()]
    sounding = np.flatnonzero(found.bass >= 0)
    new = [
        i
        for k, i in enumerate(sounding.tolist())
        if not k or found.bass[i] != found.bass[sounding[k - 1]]
    ]
    step = [
        int(found.bass[j] - found.bass[i]) if movement[i] == movement[j] else 0
        for i, j in pairwise(new)
    ]
    for k, size in enumerate(step):
        neighbours = step[max(k - 1, 0) : k] + step[k + 1 : k + 2]
        if abs(size) == 1 and size in neighbours:
            bars[found.bar[new[k + 1]]] += 1.0
    return bars
