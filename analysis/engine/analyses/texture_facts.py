"""How likely each texture is in each bar of a movement.

The words are those of trade facts 6.2. Each has a score from 0 to 1 per bar, built from what is
counted in `weave` and from the melody's probabilities; nothing reaches 1 but what is exact. Scores
are shares of fulfilment of what a musician would look for, not measured probabilities:

* single-line: one pitch class at (nearly) every moment;
* held-chords: three pitch classes and more, and no line moves more than once in `HELD` quarters;
* chorale: most lines in one rhythm, in chords, and the voices change their notes;
* pulse: most lines repeat their notes evenly, and no line has a likely melody;
* part-writing: three and more different rhythms, each with a moving line that may be a tune;
* layered: four and more rhythms at once, three of which repeat a figure from bar to bar;
* melody-countermelody: a second likely melody with a rhythm of its own;
* melody-accompaniment: one likely melody, and others that have none.

Thresholds are common practice, without a printed source.
"""

from __future__ import annotations

import numpy as np

from analysis.engine.analyses import layers
from analysis.engine.analyses.attacks import BoolArray, IntArray, attacks
from analysis.engine.analyses.role_cells import Floats
from analysis.engine.analyses.role_model import CLASSES, Estimate, estimate
from analysis.engine.analyses.weave import Weave, first_of_group, weave
from analysis.engine.model import Movement, ScoreTable

TEXTURES = (
    "single-line", "held-chords", "chorale", "pulse", "part-writing", "layered",
    "melody-countermelody", "melody-accompaniment",
)  # fmt: skip
_MELODY = CLASSES.index("melody")

#: attacks a quarter of a held chord, at most
HELD = 0.3
#: attacks a quarter of a chorale: less are held chords, more are a figure
SLOW, FAST = 0.25, 2.0
#: share of its attacks at which a voice must change its note to be moving
MOVING = 0.5
#: probability from which a melody is likely, and below which a line has none
LIKELY, UNLIKELY = 0.5, 0.35
#: what is left of "two tunes" where there are three lines of their own and more, and of one tune
#: where it has no accompaniment, or is one figure of many
EQUAL = 0.75
#: fewest lines of a texture of chords or of many layers
CHORDS, MANY = 3, 4
#: score of layers from which on there are four figures or more
LAYERS = 0.8


def scores(table: ScoreTable, movement: Movement) -> Floats:
    """Score of each texture in each bar, shape (textures, bars), in the order of `TEXTURES`."""
    found = estimate(table, movement)
    woven = weave(table, movement)
    bars = len(woven.quarters)
    if not found.named.size:
        return np.zeros((len(TEXTURES), bars))
    there = found.measured.there & _pitched(table)[:, None]
    density = woven.count / woven.quarters[None, :]
    rows = {
        "single-line": _single(woven, there),
        "held-chords": _held(woven, there, density),
        "chorale": _chorale(woven, there, density),
        "pulse": _pulse(woven, found, there, density),
        "part-writing": _part_writing(woven, found),
        "layered": _layered(table, movement, woven, there),
    }
    rows |= _melodies(woven, found)
    # where three lines and more move on their own, here or beside, two are not "two tunes"
    equal = np.pad(rows["part-writing"] > 0, 1)
    equal = equal[:-2] | equal[1:-1] | equal[2:]
    rows["melody-countermelody"] *= np.where(equal, EQUAL, 1.0)
    # where nearly all move in one rhythm, the upper line has no accompaniment
    rows["melody-accompaniment"] *= np.where(rows["chorale"] > 0, EQUAL, 1.0)
    # over four figures and more a tune is a layer among others
    rows["melody-accompaniment"] *= np.where(rows["layered"] >= LAYERS, EQUAL, 1.0)
    return np.stack([rows[name] for name in TEXTURES])


def _pitched(table: ScoreTable) -> BoolArray:
    return np.array([len(rows) > 0 for rows in table.by_line], dtype=bool)


def _lines(there: BoolArray) -> IntArray:
    found: IntArray = there.sum(axis=0)
    return found


def _single(woven: Weave, there: BoolArray) -> Floats:
    """One pitch class at nearly every moment; a bar with a single attack shows nothing."""
    moving = woven.pitches.max(axis=0, initial=0) >= 2
    found: Floats = np.where(moving & (_lines(there) > 0), np.maximum(0, 5 * woven.alone - 4), 0.0)
    return found * 0.98


def _held(woven: Weave, there: BoolArray, density: Floats) -> Floats:
    busiest = np.where(there, density, 0.0).max(axis=0, initial=0.0)
    still = (busiest <= HELD) | (woven.count.max(axis=0, initial=0) <= 1)
    full = (_lines(there) >= CHORDS) & (woven.chord >= 0.5)
    return np.where(still & full, 0.85, 0.0)


def _chorale(woven: Weave, there: BoolArray, density: Floats) -> Floats:
    """The share of lines in the commonest rhythm, where these move in chords."""
    group = first_of_group(woven.rhythm)
    voices = first_of_group(woven.doubled)
    bars = len(woven.quarters)
    found = np.zeros(bars)
    plays = _lines(there)
    for b in np.flatnonzero((woven.chord >= 0.6) & (plays >= CHORDS)).tolist():
        names, sizes = np.unique(group[b][group[b] >= 0], return_counts=True)
        if not len(names):
            continue
        inside = np.flatnonzero(group[b] == names[sizes.argmax()])
        slow = SLOW < np.median(density[inside, b]) <= FAST and woven.count[inside, b].max() >= 2
        moving = woven.moves[inside, b] >= MOVING
        different = len(np.unique(voices[b, inside[moving]])) >= CHORDS
        if slow and different:
            found[b] = len(inside) / max(plays[b], 1)
    return np.where(found >= 0.7, 0.9 * found, 0.0)


def _pulse(woven: Weave, found: Estimate, there: BoolArray, density: Floats) -> Floats:
    beats = (woven.repeats >= 0.7) & (density >= 1.0) & (woven.count >= 3)
    share = (beats & there).sum(axis=0) / np.maximum(_lines(there), 1)
    tune = np.where(there, found.probability[..., _MELODY], 0.0).max(axis=0, initial=0.0)
    return np.where((share >= 0.6) & (tune < UNLIKELY) & (_lines(there) >= CHORDS), share, 0.0)


def _part_writing(woven: Weave, roles: Estimate) -> Floats:
    """Voices, doublings merged, that each move on their own and may be a tune."""
    group = first_of_group(woven.rhythm)
    voices = first_of_group(woven.doubled)
    lively = (woven.moves >= 0.75) & (woven.pitches >= 3) & (woven.count >= 3)
    lively &= roles.probability[..., _MELODY] >= UNLIKELY
    bars = len(woven.quarters)
    found = np.zeros(bars)
    for b in range(bars):
        moving = np.flatnonzero(lively[:, b])
        if len(moving) < CHORDS:
            continue
        rhythms = len(np.unique(group[b, moving]))
        parts = len(np.unique(voices[b, moving]))
        playing = len(np.unique(voices[b][voices[b] >= 0]))
        if rhythms >= CHORDS and parts >= CHORDS:
            found[b] = min(0.9, 0.5 + 0.1 * rhythms) * min(1.0, parts / max(0.6 * playing, 1))
    return found


def _layered(table: ScoreTable, movement: Movement, woven: Weave, there: BoolArray) -> Floats:
    """Four and more rhythms, three of which come again in the next or the last bar."""
    again = _figures(table, movement)
    group = first_of_group(woven.rhythm)
    bars = len(woven.quarters)
    found = np.zeros(bars)
    for b in np.flatnonzero(_lines(there) > MANY).tolist():
        names = np.unique(group[b][group[b] >= 0])
        if len(names) < MANY:
            continue
        active = np.flatnonzero((woven.count[:, b] >= 2) & again[:, b])
        figures = len(np.unique(group[b, active]))
        if figures >= CHORDS:
            found[b] = min(0.8, 0.45 + 0.1 * figures)
    return found


def _figures(table: ScoreTable, movement: Movement) -> BoolArray:
    """Whether a line's rhythm of a bar comes again in a bar beside it, shape (lines, bars)."""
    grid = attacks(table)
    first, last = movement.first_bar, movement.last_bar
    bars = last - first + 1
    starts = table.bar_starts()[first : last + 1]
    code = np.zeros((len(table.lines), bars), dtype=np.float64)
    i, j = np.searchsorted(grid.bar, (first, last + 1))
    bar = grid.bar[i:j] - first
    # a fingerprint of the onsets within the bar: equal sets give equal sums
    mark = np.sin((grid.onset[i:j] - starts[bar]) * 0.7368 + 1.0)
    for line in range(len(table.lines)):
        hit = grid.attacked[line, i:j]
        code[line] = np.bincount(bar[hit], mark[hit], bars)
    same = np.abs(np.diff(code, axis=1)) < 1e-9
    same &= (code[:, 1:] != 0) & (code[:, :-1] != 0)
    out = np.zeros((len(table.lines), bars), dtype=bool)
    if bars > 1:
        out[:, 1:] |= same
        out[:, :-1] |= same
    return out


def _melodies(woven: Weave, found: Estimate) -> dict[str, Floats]:
    """One likely melody with others beneath, and two at once."""
    leading, second = layers.melody(found)
    bars = np.arange(len(leading))
    p = found.probability[..., _MELODY]
    first = np.where(leading >= 0, p[np.maximum(leading, 0), bars], 0.0)
    other = np.where(second >= 0, p[np.maximum(second, 0), bars], 0.0)
    several = second >= 0
    own = several & ~woven.rhythm[bars, np.maximum(leading, 0), np.maximum(second, 0)]
    own &= woven.count[np.maximum(second, 0), bars] >= 2
    own &= woven.moves[np.maximum(second, 0), bars] >= MOVING
    two = np.where(own & (other >= LIKELY) & (first >= LIKELY), np.sqrt(first * other), 0.0)
    ease = np.clip((0.7 - other) / (0.7 - UNLIKELY), 0.0, 1.0)
    one = np.where(several & (first >= LIKELY), first * (0.5 + 0.5 * ease), 0.0)
    return {"melody-countermelody": two, "melody-accompaniment": one}
