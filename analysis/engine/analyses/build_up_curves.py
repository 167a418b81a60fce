"""Five curves of a score, one number a bar: forces, loudness, height, rhythm, harmony.

* forces: lines that sound (a section with its divisi is one);
* loudness: mean printed dynamic of the parts that sound (1 ppp .. 8 fff), rising evenly under
  "cresc." and hairpins towards the next sign, by one degree where none follows; NaN where
  nothing is printed;
* height: highest sounding pitch (MIDI), NaN in silence;
* rhythm: moments of attack, of whatever line, in a felt beat;
* harmony: new chords a bar, dissonance and chromatic bass (`harmony_measures`), in units of
  `HARMONY`.
"""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses import harmony_measures
from analysis.engine.analyses.attacks import attacks, memo
from analysis.engine.analyses.phrases import felt_beats
from analysis.engine.analyses.spans import counted
from analysis.engine.model import TICKS, Mark, ScoreTable

Floats = NDArray[np.float64]

LEGS = ("forces", "loudness", "height", "rhythm", "harmony")
#: what makes harmony press by one unit: chords a bar, dissonance, chromatic steps a bar
HARMONY = (1.0, 0.2, 1.0)
#: ticks over which a "cresc." rises where no sign follows, and within which the next one must
_ALONE, _NEXT = 8 * TICKS, 64 * TICKS
_UP = re.compile(r"\b(cresc|rinf)")
_DOWN = re.compile(r"\b(decresc|dim\b|dimin|calando|morendo|smorz)")


def curves(table: ScoreTable) -> dict[str, Floats]:
    """The five curves, each of shape (bars,), built once."""
    return memo(table, "_build_up_curves", lambda: _build(table))


def _build(table: ScoreTable) -> dict[str, Floats]:
    plays = counted(table)
    return {
        "forces": plays.sum(axis=0).astype(np.float64),
        "loudness": _loudness(table),
        "height": _height(table),
        "rhythm": _rhythm(table),
        "harmony": (
            harmony_measures.harmonic_rhythm(table) / HARMONY[0]
            + harmony_measures.dissonance(table) / HARMONY[1]
            + harmony_measures.chromatic_bass(table) / HARMONY[2]
        ),
    }


def _height(table: ScoreTable) -> Floats:
    """Highest pitch attacked or held in each bar."""
    top = np.full(len(table.bars), -1.0)
    starts = table.bar_starts()
    for rows in table.by_line:
        if not len(rows):
            continue
        first = np.clip(np.searchsorted(starts, rows["onset"], side="right") - 1, 0, None)
        last = np.searchsorted(starts, rows["onset"] + rows["duration"], side="left") - 1
        np.maximum.at(top, first, rows["pitch"])
        for ahead in range(1, 9):  # a note held for longer is no new height
            held = first + ahead <= last
            if not held.any():
                break
            np.maximum.at(top, first[held] + ahead, rows["pitch"][held])
    return np.where(top < 0, np.nan, top)


def _rhythm(table: ScoreTable) -> Floats:
    grid = attacks(table)
    count = np.bincount(grid.bar, minlength=len(table.bars)).astype(np.float64)
    lengths = np.array([b.length for b in table.bars], dtype=np.float64)
    beats = lengths / np.maximum(felt_beats(table), 1)
    found: Floats = count / np.maximum(beats, 0.5)
    return found


def _loudness(table: ScoreTable) -> Floats:
    """Mean level of the lines that sound: two players of one staff count as two."""
    total, heard = np.zeros(len(table.bars)), np.zeros(len(table.bars))
    plays = counted(table)
    signs: dict[int, list[Mark]] = {}
    for mark in table.marks:
        if mark.kind in {"dynamic", "wedge", "words"}:
            signs.setdefault(mark.part, []).append(mark)
    middle = np.array([b.start + b.length // 2 for b in table.bars], dtype=np.float64)
    for part in range(table.part_count):
        mine = [m for m in signs.get(part, []) + signs.get(-1, []) if m.kind != "words" or _way(m)]
        level = _level(mine, middle)
        lines = [line.index for line in table.lines if line.part == part]
        if level is None or not lines:
            continue
        sounding = np.where(np.isnan(level), 0, plays[lines].sum(axis=0))
        total += sounding * np.nan_to_num(level)
        heard += sounding
    found: Floats = np.where(heard > 0, total / np.maximum(heard, 1), np.nan)
    return found


def _way(mark: Mark) -> int:
    """1 for a crescendo, -1 for a diminuendo, 0 for neither."""
    text = mark.text.casefold()
    if _UP.search(text):
        return 1
    return -1 if _DOWN.search(text) else 0


def _level(signs: list[Mark], at: Floats) -> Floats | None:
    """The level of one part at these ticks; None without a dynamic."""
    fixed = sorted((m for m in signs if m.kind == "dynamic" and m.number > 0), key=_onset)
    if not fixed:
        return None
    ramps = sorted((m for m in signs if m.kind != "dynamic"), key=_onset)
    points: list[tuple[float, float]] = []
    r = 0
    for k, mark in enumerate(fixed):
        following = fixed[k + 1] if k + 1 < len(fixed) else None
        level = mark.number
        points.append((mark.onset, level))
        until = following.onset if following else float("inf")
        while r < len(ramps) and ramps[r].onset < until:
            ramp = ramps[r]
            r += 1
            way = _way(ramp)
            if not way or ramp.onset < mark.onset:
                continue
            start = max(ramp.onset, points[-1][0])
            points.append((start, level))
            later = r < len(ramps) and ramps[r].onset < until
            goal = following.number if following and not later else None
            if goal is not None and (goal - level) * way > 0 and until - start <= _NEXT:
                points.append((until - 1, goal))
                level = goal
            else:
                end = ramp.end if ramp.end > ramp.onset else ramp.onset + _ALONE
                level = min(max(level + way, 1), 8)
                points.append((max(min(end, until - 1), start + 1), level))
        if following:
            points.append((max(until - 1, points[-1][0]), level))
    times, levels = np.array(points, dtype=np.float64).T
    found: Floats = np.interp(at, times, levels)
    found[at < times[0]] = np.nan
    return found


def _onset(mark: Mark) -> int:
    return mark.onset
