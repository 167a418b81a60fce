"""What is measured in each cell (line x bar) before a role is named.

`measure` returns one column per name of `NAMES`. All of it is rhythm,
contour, register, repetition and relation to the other lines; the family of
the instrument enters too, nothing else of the label.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses.role_cells import Bools, Floats, Grid, Ints
from analysis.engine.model import TICKS, Line

_FAMILIES = ("woodwind", "brass", "percussion", "strings", "voice", "keyboard", "plucked")
_LOW = frozenset(
    {"cello", "double-bass", "bassoon", "contrabassoon", "tuba", "bass-trombone", "bass-clarinet"}
)
_ALIKE = 0.75  # Dice of attacks from which two lines double, or share a rhythm, in a bar
_WINDOW = 2  # bars before and after that count as context

_OWN = (
    "density",  # attacks a quarter
    "sounding",  # share of the bar
    "held",  # mean length of its notes, quarters (log2)
    "longest",
    "detached",  # share of attacks followed by silence
    "pitches",  # different pitches
    "variety",  # different pitches / attacks
    "repeated",  # share of moves that repeat the pitch
    "steps",
    "leaps",
    "motion",  # semitones moved a quarter
    "ambitus",
    "turns",  # share of moves that change direction
    "chords",  # mean notes an attack
    "offbeat",  # share of attacks off the beat
    "downbeat",  # attacks the downbeat
    "even",  # share of equal time gaps
    "values",  # different note values
)
_SELF = ("same-rhythm", "same-notes", "since-rest", "above-own")
_OTHERS = (
    "players",  # lines sounding in the bar
    "doubled",  # lines doubling it
    "joined",  # lines in the same rhythm
    "joined-share",
    "alone",  # share of its attacks no other line has
    "height",  # rank by pitch, 0 lowest .. 1 highest
    "above-bass",
    "below-top",
    "motion-rank",
    "density-rank",
    "pitches-rank",
)
_CONTEXT = ("density", "held", "repeated", "steps", "motion", "pitches", "alone", "offbeat",
            "joined-share", "height", "doubled", "motion-rank", "sounding")  # fmt: skip

NAMES: tuple[str, ...] = (
    *_OWN,
    *_SELF,
    *_OTHERS,
    *(f"{name}~" for name in _CONTEXT),
    *_FAMILIES,
    "low-instrument",
)


@dataclass(frozen=True)
class Measured:
    """Features of all cells that sound.

    Attributes
    ----------
    values : float64, shape (lines, bars, features)
        In the order of `NAMES`; meaningless where `there` is false.
    there : bool, shape (lines, bars)
    doubled : bool, shape (bars, lines, lines)
        Which lines double which, attacks compared by pitch class.
    """

    values: Floats
    there: Bools
    doubled: Bools


def measure(cells: Grid, lines: tuple[Line, ...]) -> Measured:
    """Measure every cell of `cells`; see the module."""
    there = cells.sounding > 0
    own = _own(cells)
    doubled, joined, alone = _relations(cells)
    columns = dict(own)
    columns |= _self(cells, own, there)
    columns |= _others(cells, own, there, doubled, joined, alone)
    columns |= {f"{name}~": _around(columns[name], there) for name in _CONTEXT}
    for family in _FAMILIES:
        columns[family] = _by_line(cells, [line.family == family for line in lines])
    columns["low-instrument"] = _by_line(cells, [line.instrument in _LOW for line in lines])
    values = np.stack([columns[name] for name in NAMES], axis=-1)
    return Measured(np.nan_to_num(values), there, doubled)


def _by_line(cells: Grid, flags: list[bool]) -> Floats:
    return np.repeat(np.array(flags, dtype=np.float64)[:, None], cells.shape[1], axis=1)


def _own(cells: Grid) -> dict[str, Floats]:
    """What the line does in the bar, taken by itself."""
    s = cells.strokes
    lines, bars = cells.shape
    cell = s.line * bars + s.bar
    count = np.bincount(cell, minlength=lines * bars).astype(np.float64)
    some = np.maximum(count, 1.0)

    def total(of: NDArray[Any]) -> Floats:
        return np.bincount(cell, of.astype(np.float64), lines * bars).astype(np.float64)

    follows = np.r_[np.diff(s.line) == 0, False] & np.r_[np.diff(s.bar) <= 1, False]
    gap = np.r_[np.diff(s.onset), 0]
    move = np.where(follows, np.r_[np.diff(s.top), 0], 0)
    moves = np.maximum(total(follows), 1.0)
    length = (s.end - s.onset) / TICKS
    turn = np.zeros(len(s.line), dtype=bool)
    if len(turn) > 2:
        turn[1:] = (move[1:] * move[:-1] < 0) & follows[:-1]
    beat = np.array([_beat(b.beats, b.beat_type) for b in cells.bars], dtype=np.int64)
    within = s.onset - np.array([b.start for b in cells.bars], dtype=np.int64)[s.bar]
    quarters = np.tile(cells.quarters, lines)
    even = np.zeros(len(s.line), dtype=bool)
    even[1:] = (gap[1:] == gap[:-1]) & follows[1:] & follows[:-1]
    highest, lowest = np.full(lines * bars, -1), np.full(lines * bars, 999)
    np.maximum.at(highest, cell, s.top)
    np.minimum.at(lowest, cell, s.top)
    longest = np.zeros(lines * bars)
    np.maximum.at(longest, cell, length)
    pitches = _different(cell, s.top, lines * bars)
    result = {
        "density": np.log2(1 + count / quarters),
        "sounding": cells.sounding.ravel(),
        "held": np.log2(total(length) / some + 1 / 16),
        "longest": np.log2(longest + 1 / 16),
        "detached": total((s.onset + gap > s.end) | ~follows) / some,
        "pitches": pitches,
        "variety": pitches / some,
        "repeated": total((move == 0) & follows) / moves,
        "steps": total((np.abs(move) <= 2) & (move != 0)) / moves,
        "leaps": total(np.abs(move) >= 5) / moves,
        "motion": np.log2(1 + total(np.abs(move)) / quarters),
        "ambitus": np.where(count > 0, highest - lowest, 0),
        "turns": total(turn) / moves,
        "chords": total(s.size) / some,
        "offbeat": total(within % beat[s.bar] != 0) / some,
        "downbeat": np.minimum(total(within == 0), 1.0),
        "even": total(even) / some,
        "values": _different(cell, s.end - s.onset, lines * bars),
    }
    return {name: np.asarray(v, np.float64).reshape(lines, bars) for name, v in result.items()}


def _beat(beats: int, beat_type: int) -> int:
    """Ticks of a beat as counted: a dotted value in compound time."""
    unit = 4 * TICKS // (beat_type or 4)
    return unit * 3 if beat_type >= 8 and beats % 3 == 0 and beats > 3 else unit


def _different(cell: Ints, value: Ints, cells: int) -> Floats:
    """How many different values each cell holds."""
    if not len(cell):
        return np.zeros(cells)
    order = np.lexsort((value, cell))
    c, v = cell[order], value[order]
    new = np.r_[True, (np.diff(c) != 0) | (np.diff(v) != 0)]
    return np.bincount(c[new], minlength=cells).astype(np.float64)


def _self(cells: Grid, own: dict[str, Floats], there: Bools) -> dict[str, Floats]:
    """The line compared with itself: figures that go on, entries, its usual height."""
    rhythm, notes = prints(cells)
    same_rhythm, same_notes = np.zeros(cells.shape), np.zeros(cells.shape)
    for back in (1, 2):
        there_too = there[:, back:] & there[:, :-back]
        for mine, out in ((rhythm, same_rhythm), (notes, same_notes)):
            out[:, back:] = np.maximum(
                out[:, back:], there_too & (mine[:, back:] == mine[:, :-back])
            )
            out[:, :-back] = np.maximum(
                out[:, :-back], there_too & (mine[:, back:] == mine[:, :-back])
            )
    since = np.zeros(cells.shape)
    for b in range(cells.shape[1]):
        since[:, b] = np.where(there[:, b], 1 + (since[:, b - 1] if b else 0), 0)
    usual = np.array([np.nanmedian(p) if np.isfinite(p).any() else 0.0 for p in cells.pitch])
    return {
        "same-rhythm": same_rhythm,
        "same-notes": same_notes,
        "since-rest": np.log2(1 + since),
        "above-own": np.nan_to_num(cells.pitch - usual[:, None]),
    }


def prints(cells: Grid) -> tuple[NDArray[np.uint64], NDArray[np.uint64]]:
    """Fingerprints of each cell's rhythm and notes, equal where these are equal."""
    s = cells.strokes
    lines, bars = cells.shape
    within = (s.onset - np.array([b.start for b in cells.bars], dtype=np.int64)[s.bar]) // 84
    cell = s.line * bars + s.bar
    mixed = (within.astype(np.uint64) + np.uint64(1)) * np.uint64(0x9E3779B97F4A7C15)
    mixed ^= mixed >> np.uint64(29)
    rhythm = np.zeros(lines * bars, dtype=np.uint64)
    np.add.at(rhythm, cell, mixed)
    notes = np.zeros(lines * bars, dtype=np.uint64)
    np.add.at(notes, cell, mixed * (s.top.astype(np.uint64) * np.uint64(2) + np.uint64(7)))
    return rhythm.reshape(lines, bars), notes.reshape(lines, bars)


def _relations(cells: Grid) -> tuple[Bools, Bools, Floats]:
    """Doubling and common rhythm of each pair in each bar, and attacks no one shares."""
    lines, bars = cells.shape
    doubled = np.zeros((bars, lines, lines), dtype=bool)
    joined = np.zeros((bars, lines, lines), dtype=bool)
    alone = np.zeros((lines, bars))
    order = np.argsort(cells.token_bar, kind="stable")
    cuts = np.searchsorted(cells.token_bar[order], np.arange(bars + 1))
    s = cells.strokes
    by_bar = np.argsort(s.bar, kind="stable")
    stroke_cuts = np.searchsorted(s.bar[by_bar], np.arange(bars + 1))
    for b in range(bars):
        mine = order[cuts[b] : cuts[b + 1]]
        mine = mine[cells.tokens[mine] >= 0]
        doubled[b], _ = _alike(cells.token_line[mine], cells.tokens[mine], lines)
        mine = by_bar[stroke_cuts[b] : stroke_cuts[b + 1]]
        joined[b], struck = _alike(s.line[mine], s.onset[mine], lines)
        if struck is not None:
            crowd = struck.sum(axis=0)
            alone[:, b] = (struck * (crowd == 1)).sum(axis=1) / np.maximum(struck.sum(axis=1), 1)
    return doubled, joined, alone


def _alike(line: Ints, token: Ints, lines: int) -> tuple[Bools, Floats | None]:
    """Pairs of lines whose sets of tokens agree to `_ALIKE` (Dice), and the sets."""
    if not len(line):
        return np.zeros((lines, lines), dtype=bool), None
    _, column = np.unique(token, return_inverse=True)
    sets = np.zeros((lines, int(column.max()) + 1), dtype=np.float32)
    sets[line, column] = 1.0
    size = sets.sum(axis=1)
    common = sets @ sets.T
    alike = (common > 0) & (2 * common >= _ALIKE * (size[:, None] + size[None, :]))
    np.fill_diagonal(alike, False)
    return alike, sets.astype(np.float64)


def _others(
    cells: Grid, own: dict[str, Floats], there: Bools, doubled: Bools, joined: Bools, alone: Floats
) -> dict[str, Floats]:
    """The line among the others of the bar."""
    count = there.sum(axis=0)
    pitch = np.where(there, cells.pitch, np.nan)
    known = np.isfinite(pitch)
    low = np.where(known, pitch, np.inf).min(axis=0)
    high = np.where(known, pitch, -np.inf).max(axis=0)
    others = np.broadcast_to(np.maximum(count - 1, 1), there.shape)
    together = joined.sum(axis=2).T.astype(np.float64)
    return {
        "players": np.broadcast_to(count, there.shape).astype(np.float64),
        "doubled": doubled.sum(axis=2).T.astype(np.float64),
        "joined": together,
        "joined-share": together / others,
        "alone": alone,
        "height": _rank(pitch, known),
        "above-bass": np.where(known, pitch - low, 0.0),
        "below-top": np.where(known, high - pitch, 0.0),
        "motion-rank": _rank(own["motion"], there),
        "density-rank": _rank(own["density"], there),
        "pitches-rank": _rank(own["pitches"], there),
    }


def _rank(values: Floats, there: Bools) -> Floats:
    """Place among the lines of the same bar, 0 lowest .. 1 highest, ties in the middle."""
    filled = np.where(there, values, np.nan)
    below = (filled[None, :, :] < filled[:, None, :]).sum(axis=1)
    equal = (filled[None, :, :] == filled[:, None, :]).sum(axis=1)
    count = np.maximum(there.sum(axis=0) - 1, 1)
    return np.where(there, (below + (equal - 1) / 2) / count, 0.0)


def _around(values: Floats, there: Bools) -> Floats:
    """Mean over the sounding bars within `_WINDOW` before and after."""
    weight, total = np.zeros(values.shape), np.zeros(values.shape)
    bars = values.shape[1]
    for shift in range(-_WINDOW, _WINDOW + 1):
        a, b = max(0, shift), min(bars, bars + shift)
        if b <= a:
            continue
        src, dst = slice(a, b), slice(a - shift, b - shift)
        weight[:, dst] += there[:, src]
        total[:, dst] += np.where(there[:, src], values[:, src], 0.0)
    return total / np.maximum(weight, 1.0)
