"""Measures of a cell that need more than its bar: themes that return, its place, its neighbours.

`role_features.measure` takes these in. A theme is known by four successive
moves in pitch and time; the same four elsewhere, in any line and at any height, are a return.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses.role_cells import Bools, Floats, Grid
from analysis.engine.model import Line

_MOVES = 4  # moves that make a motif
_NEAR = 4  # bars within which a motif of the same line is a figure that goes on
_LONGEST = 2  # bars between two attacks that still belong to one motif

_INSTRUMENTS = ("violin", "viola", "cello", "double-bass", "flute", "oboe", "clarinet",
                "bassoon", "horn", "trumpet", "timpani")  # fmt: skip
_LINE = ("usual", "usual-rank", "desk", "place", *(f"is-{name}" for name in _INSTRUMENTS))
_THEME = ("motifs", "returns", "returns-most", "in-lines", "goes-on")
_COMPANY = ("crowd", "pitch-alone", "group-top", "top-of-group", "layers", "clear-above", "tutti",
            "pitch")  # fmt: skip
_TIME = ("until-rest", "enters", "fresh", "same-around")
RELATIVE = ("density", "held", "motion", "pitches", "steps", "repeated", "alone", "variety",
            "values", "returns", "goes-on", "crowd")  # fmt: skip
CLOSE = ("density", "held", "repeated", "motion", "height", "alone", "same-rhythm", "sounding",
         "crowd", "returns")  # fmt: skip
FAR = ("density", "held", "repeated", "steps", "motion", "pitches", "height", "alone", "crowd",
       "returns", "goes-on", "same-rhythm", "joined-share", "doubled", "pitch", "values",
       "motion-rank", "sounding")  # fmt: skip
NAMES: tuple[str, ...] = (
    *_LINE,
    *_THEME,
    *_COMPANY,
    *_TIME,
    *(f"{name}-" for name in RELATIVE),
    *(f"{name}<" for name in CLOSE),
    *(f"{name}>" for name in CLOSE),
    *(f"{name}~~" for name in FAR),
)


def add(
    columns: dict[str, Floats],
    cells: Grid,
    lines: tuple[Line, ...],
    there: Bools,
    doubled: Bools,
    prints: NDArray[np.uint64],
) -> None:
    """Put the columns of `NAMES` into `columns`, which holds those of the bar alone."""
    columns.update(_of_line(cells, lines, there))
    columns.update(_themes(cells))
    columns.update(_company(cells, columns, there, doubled))
    columns.update(_in_time(there, prints))
    count = np.maximum(there.sum(axis=0), 1)
    for name in RELATIVE:
        mean = np.where(there, columns[name], 0.0).sum(axis=0) / count
        columns[f"{name}-"] = columns[name] - mean
    for name in CLOSE:
        columns[f"{name}<"] = _beside(columns[name], there, 1)
        columns[f"{name}>"] = _beside(columns[name], there, -1)
    for name in FAR:
        columns[f"{name}~~"] = _mean_around(columns[name], there, 6)


def _of_line(cells: Grid, lines: tuple[Line, ...], there: Bools) -> dict[str, Floats]:
    """What the line is in this movement: how high it lies as a rule, its desk, its instrument.

    Lines that rest throughout have no place among the others.
    """
    bars = cells.shape[1]
    usual = np.array([np.nanmedian(p) if np.isfinite(p).any() else 0.0 for p in cells.pitch])
    heard = np.flatnonzero(there.any(axis=1))
    place, rank, desk = (np.zeros(len(lines)) for _ in range(3))
    place[heard] = np.arange(len(heard)) / max(len(heard) - 1, 1)
    low = heard[np.argsort(usual[heard], kind="stable")]
    rank[low] = np.arange(len(low)) / max(len(low) - 1, 1)
    seen: dict[str, int] = {}
    for k in heard.tolist():
        desk[k] = seen.get(lines[k].instrument, 0)
        seen[lines[k].instrument] = seen.get(lines[k].instrument, 0) + 1
    by_line = {"usual": usual, "usual-rank": rank, "desk": desk, "place": place}
    for name in _INSTRUMENTS:
        by_line[f"is-{name}"] = np.array([float(line.instrument == name) for line in lines])
    return {
        name: np.repeat(v.reshape(-1, 1).astype(np.float64), bars, axis=1)
        for name, v in by_line.items()
    }


def _themes(cells: Grid) -> dict[str, Floats]:
    """How often the motifs of the cell return, in how many lines, and whether they just go on."""
    s = cells.strokes
    lines, bars = cells.shape
    size = lines * bars
    n = len(s.line)
    none = np.zeros((lines, bars))
    if n <= _MOVES:
        return dict.fromkeys(_THEME, none)
    move = np.diff(s.top)
    gap = np.diff(s.onset)
    joined = (np.diff(s.line) == 0) & (np.diff(s.bar) <= _LONGEST)
    joined &= (s.top[1:] >= 0) & (s.top[:-1] >= 0)
    count = n - _MOVES
    key = np.zeros(count, dtype=np.uint64)
    whole = np.ones(count, dtype=bool)
    changes, still = np.zeros(count, dtype=np.int64), np.zeros(count, dtype=np.int64)
    for k in range(_MOVES):
        part = slice(k, k + count)
        token = (move[part] + 200).astype(np.uint64) * np.uint64(1 << 20) + gap[part].astype(
            np.uint64
        )
        key = (key ^ token) * np.uint64(0x9E3779B97F4A7C15)
        key ^= key >> np.uint64(31)
        whole &= joined[part]
        still += move[part] == 0
        if k:
            changes += move[part] != move[k - 1 : k - 1 + count]
    whole &= (changes >= 2) & (still <= 2)  # neither repeated notes nor an even run
    at = np.flatnonzero(whole)
    if not len(at):
        return dict.fromkeys(_THEME, none)
    _, motif = np.unique(key[at], return_inverse=True)
    line, bar = s.line[at], s.bar[at]
    wide = bars + 2 * _NEAR + 2
    in_bar = np.unique(motif.astype(np.int64) * wide + bar)
    total = np.bincount(in_bar // wide)
    in_line = np.unique(motif.astype(np.int64) * lines + line)
    many = np.bincount(in_line // lines)
    own = np.unique((motif.astype(np.int64) * lines + line) * wide + bar + _NEAR)
    here = (motif.astype(np.int64) * lines + line) * wide + bar + _NEAR
    near = np.searchsorted(own, here + _NEAR, side="right") - np.searchsorted(own, here - _NEAR)
    close = np.searchsorted(in_bar, motif * wide + bar + 2, side="right")
    close = close - np.searchsorted(in_bar, motif * wide + bar - 2)
    returns = np.log2(1 + np.maximum(total[motif] - close, 0))
    cell = line * bars + bar
    some = np.bincount(cell, minlength=size).astype(np.float64)
    most = np.zeros(size)
    np.maximum.at(most, cell, returns)

    def mean(of: Floats) -> Floats:
        return np.asarray(np.bincount(cell, of, size) / np.maximum(some, 1.0))

    out = {
        "motifs": np.log2(1 + some),
        "returns": mean(returns),
        "returns-most": most,
        "in-lines": mean(np.log2(many[motif])),
        "goes-on": mean(np.log2(near.astype(np.float64))),
    }
    return {name: np.asarray(v, np.float64).reshape(lines, bars) for name, v in out.items()}


def _company(
    cells: Grid, columns: Mapping[str, Floats], there: Bools, doubled: Bools
) -> dict[str, Floats]:
    """The line with and against the others: how many strike with it, its group, its distance."""
    lines, bars = cells.shape
    s = cells.strokes
    count = np.maximum(there.sum(axis=0), 1)
    heard = max(int(there.any(axis=1).sum()), 1)
    _, moment, crowd = np.unique(s.onset, return_inverse=True, return_counts=True)
    cell = s.line * bars + s.bar
    some = np.maximum(np.bincount(cell, minlength=lines * bars), 1)
    struck = np.bincount(cell, crowd[moment] - 1.0, lines * bars) / some
    together = struck.reshape(lines, bars) / np.maximum(count - 1, 1)
    tuned = cells.tokens >= 0
    token_cell = cells.token_line[tuned] * bars + cells.token_bar[tuned]
    _, which, same = np.unique(cells.tokens[tuned], return_inverse=True, return_counts=True)
    own = np.bincount(token_cell, minlength=lines * bars)
    single = np.bincount(token_cell, (same[which] == 1).astype(np.float64), lines * bars)
    height = columns["height"]
    near = doubled.transpose(1, 0, 2)  # line, bar, other
    group_top = np.maximum(np.where(near, height.T[None], -1.0).max(axis=2, initial=-1.0), height)
    pitch = np.where(there, cells.pitch, np.nan)
    filled = np.where(np.isfinite(pitch), pitch, -np.inf)
    order = np.sort(filled, axis=0)
    top = order[-1]
    second = order[-2] if lines > 1 else np.full(bars, -np.inf)
    clear = np.where(np.isfinite(second), top - np.where(np.isfinite(second), second, 0.0), 12.0)
    clear = np.minimum(np.where(np.isfinite(top), clear, 0.0), 24.0)
    layers = np.where(there, 1.0 / (1.0 + columns["doubled"]), 0.0).sum(axis=0)
    return {
        "crowd": together,
        "pitch-alone": (single / np.maximum(own, 1)).reshape(lines, bars),
        "group-top": group_top,
        "top-of-group": (height >= group_top).astype(np.float64),
        "layers": np.broadcast_to(layers, there.shape).astype(np.float64),
        "clear-above": np.where(there & (filled == top), clear, 0.0),
        "tutti": np.broadcast_to(count / heard, there.shape).astype(np.float64),
        "pitch": np.nan_to_num(cells.pitch),
    }


def _in_time(there: Bools, prints: NDArray[np.uint64]) -> dict[str, Floats]:
    """Entries and rests ahead, and how new the rhythm of the bar is to its line."""
    bars = there.shape[1]
    until = np.zeros(there.shape)
    for b in range(bars - 1, -1, -1):
        until[:, b] = np.where(there[:, b], 1 + (until[:, b + 1] if b + 1 < bars else 0), 0)
    enters = there.copy()
    enters[:, 1:] &= ~there[:, :-1]
    before, around, counted = (np.zeros(there.shape) for _ in range(3))
    for shift in range(1, 9):
        if shift >= bars:
            break
        both = there[:, shift:] & there[:, :-shift]
        same = both & (prints[:, shift:] == prints[:, :-shift])
        if shift <= 4:
            before[:, shift:] = np.maximum(before[:, shift:], same)
        around[:, shift:] += same
        around[:, :-shift] += same
        counted[:, shift:] += both
        counted[:, :-shift] += both
    return {
        "until-rest": np.log2(1 + until),
        "enters": enters.astype(np.float64),
        "fresh": 1.0 - before,
        "same-around": around / np.maximum(counted, 1.0),
    }


def _beside(values: Floats, there: Bools, shift: int) -> Floats:
    """The value `shift` bars before (after, if negative); -1 where the line rests there."""
    out = np.full(values.shape, -1.0)
    filled = np.where(there, values, -1.0)
    if shift > 0:
        out[:, shift:] = filled[:, :-shift]
    else:
        out[:, :shift] = filled[:, -shift:]
    return out


def _mean_around(values: Floats, there: Bools, reach: int) -> Floats:
    """Mean over the sounding bars within `reach`, by running sums."""
    bars = values.shape[1]
    edge = np.zeros((values.shape[0], 1))
    total = np.concatenate([edge, np.cumsum(np.where(there, values, 0.0), axis=1)], axis=1)
    weight = np.concatenate([edge, np.cumsum(there, axis=1)], axis=1)
    low = np.maximum(np.arange(bars) - reach, 0)
    high = np.minimum(np.arange(bars) + reach + 1, bars)
    mean: Floats = (total[:, high] - total[:, low]) / np.maximum(
        weight[:, high] - weight[:, low], 1.0
    )
    return mean
