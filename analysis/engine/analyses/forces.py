"""What plays in a bar: the facts behind findings and claims about forces."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

import numpy as np

from analysis.engine.analyses.attacks import BoolArray, attacks, memo
from analysis.engine.analyses.spans import counted, intervals, merged, sounding
from analysis.engine.analyses.speech import bar_at
from analysis.engine.errors import EngineError
from analysis.engine.instruments import brass, crooks
from analysis.engine.instruments.crooks import Crook
from analysis.engine.model import Movement, PartReading, ScoreTable
from analysis.engine.settings import Settings

#: most lines that still are "a named few": common practice
SOLI = 3
#: a pitch class is part of a bar's chord from this share of its sounding time on: common practice
CHORD_SHARE = 0.125


def sounding_bars(table: ScoreTable, line: int) -> BoolArray:
    """Whether `line` sounds in each bar."""
    found: BoolArray = sounding(table)[line]
    return found


def rests_throughout(table: ScoreTable, line: int, start: int, end: int) -> bool:
    """Whether `line` is silent in all of ``start <= t < end`` (ticks)."""
    times = intervals(table)[line]
    return not bool(((times[:, 0] < end) & (times[:, 1] > start)).any())


def crook_of(reading: PartReading) -> Crook | None:
    """The crook of a horn or trumpet reading, by its name, else by how it sounds."""
    if reading.crook is None or not brass.is_natural(reading.instrument):
        return None
    try:
        named = brass.crook_named(reading.instrument, reading.crook)
    except EngineError:
        named = None
    return named or crooks.by_transposition(reading.instrument, reading.transposition)


def silences(table: ScoreTable) -> list[tuple[int, int]]:
    """General pauses of a beat or longer between notes of one movement: (start, end) in ticks."""
    return memo(table, "_silences", lambda: _silences(table))


def tutti_bars(table: ScoreTable, settings: Settings) -> BoolArray:
    """Bars in which every family of the movement and `tutti_share` of its lines play.

    Natural brass and drums that have no tone of the chord do not count (contract, "Open tones").
    """
    strict, excused = tutti_kinds(table, settings)
    return strict | excused


def shares(table: ScoreTable, movement: Movement) -> dict[str, dict[Any, float]]:
    """Shares of a movement by family and by line.

    Returns
    -------
    dict
        ``bars``: family -> share of the movement's bars in which it sounds; ``notes``: family ->
        share of all notes; ``line_bars`` and ``line_notes``: the same by line index.
    """
    first, last = movement.first_bar, movement.last_bar + 1
    plays = sounding(table)[:, first:last]
    start, end = table.bars[first].start, table.bars[last - 1].end
    grid = attacks(table)
    counts = {line.index: len(grid.between(line.index, start, end)) for line in table.lines}
    total = max(sum(counts.values()), 1)
    families: dict[str, list[int]] = defaultdict(list)
    for line in table.lines:
        families[line.family].append(line.index)
    length = max(last - first, 1)
    return {
        "bars": {
            f: float(plays[lines].any(axis=0).sum()) / length for f, lines in families.items()
        },
        "notes": {f: sum(counts[i] for i in lines) / total for f, lines in families.items()},
        "line_bars": {i: float(plays[i].sum()) / length for i in counts},
        "line_notes": {i: n / total for i, n in counts.items()},
    }


def tutti_kinds(table: ScoreTable, settings: Settings) -> tuple[BoolArray, BoolArray]:
    """Bars that are tutti as they stand, and those that are if drums and brass are excused."""
    return memo(table, f"_tutti-{hash(settings)}", lambda: _find_tutti(table, settings))


def _find_tutti(table: ScoreTable, settings: Settings) -> tuple[BoolArray, BoolArray]:
    plays = counted(table)
    excusable = without_chord_tone(table)
    strict = np.zeros(len(table.bars), dtype=bool)
    excused = np.zeros(len(table.bars), dtype=bool)
    families = [line.family for line in table.lines]
    for movement in table.movements:
        bars = slice(movement.first_bar, movement.last_bar + 1)
        force = np.logical_or.reduce(plays[:, bars], axis=1)
        nobody: BoolArray = np.zeros_like(excusable[:, bars])
        silent: BoolArray = excusable[:, bars] & ~plays[:, bars]
        for target, out in ((strict, nobody), (excused, silent)):
            needed = np.logical_and(force[:, None], ~out)
            present = np.logical_and(plays[:, bars], needed)
            size = np.maximum(needed.sum(axis=0), 1)
            enough: BoolArray = present.sum(axis=0) >= settings.tutti_share * size
            for name in sorted({families[i] for i in np.flatnonzero(force)}):
                mine = np.array([f == name for f in families], dtype=bool)
                enough &= present[mine].any(axis=0) | ~needed[mine].any(axis=0)
            target[bars] = enough & (needed.sum(axis=0) > SOLI)
    return strict, excused & ~strict


def without_chord_tone(table: ScoreTable) -> BoolArray:
    """Shape (lines, bars): natural brass and drums whose tones are not in the bar's chord."""
    return memo(table, "_without_chord_tone", lambda: _without_chord_tone(table))


def _without_chord_tone(table: ScoreTable) -> BoolArray:
    result = np.zeros((len(table.lines), len(table.bars)), dtype=bool)
    harmony = chords(table)
    for line in table.lines:
        if line.instrument not in {"horn", "trumpet", "timpani"}:
            continue
        readings = [p for p in table.parts if p.index == line.part]
        for k, reading in enumerate(readings):
            until = readings[k + 1].from_bar if k + 1 < len(readings) else len(table.bars)
            tones = _tones(table, line.index, reading)
            if tones:
                bars = slice(reading.from_bar, until)
                result[line.index, bars] = ~harmony[sorted(tones), bars].any(axis=0)
    return result


def _tones(table: ScoreTable, line: int, reading: PartReading) -> set[int]:
    """Pitch classes the line can give: open tones of its crook, or the drums' own notes."""
    if reading.instrument == "timpani":
        return {int(p) % 12 for p in np.unique(table.by_line[line]["pitch"])}
    known = crook_of(reading)
    return {p % 12 for p in brass.open_tones(reading.instrument, known)} if known else set()


def chords(table: ScoreTable) -> BoolArray:
    """Shape (12, bars): pitch classes that make up the chord of each bar."""
    return memo(table, "_chords", lambda: _chords(table))


def _chords(table: ScoreTable) -> BoolArray:
    weight = np.zeros((12, len(table.bars)))
    starts = np.r_[table.bar_starts(), table.bars[-1].end if table.bars else 0]
    for rows in table.by_line:
        onset, end = rows["onset"], rows["onset"] + rows["duration"]
        first = np.searchsorted(starts, onset, side="right") - 1
        last = np.maximum(np.searchsorted(starts, end, side="left") - 1, first)
        last = np.minimum(last, len(table.bars) - 1)
        reach = last - first + 1
        row = np.repeat(np.arange(len(rows)), reach)
        passed = np.repeat(np.cumsum(reach) - reach, reach)
        bar = first[row] + np.arange(len(row)) - passed
        time = np.minimum(end[row], starts[bar + 1]) - np.maximum(onset[row], starts[bar])
        np.add.at(weight, (rows["pitch"][row] % 12, bar), np.maximum(time, 0))
    total = weight.sum(axis=0)
    result: BoolArray = (weight >= CHORD_SHARE * total) & (weight > 0)
    return result


def _silences(table: ScoreTable) -> list[tuple[int, int]]:
    everybody = merged(np.concatenate([np.zeros((0, 2), np.int64), *intervals(table)]))
    found = []
    for (_, end), (start, _) in zip(everybody[:-1].tolist(), everybody[1:].tolist(), strict=True):
        first, last = table.bars[bar_at(table, end)], table.bars[bar_at(table, start - 1)]
        if first.movement == last.movement and start - end >= first.beat_ticks:
            found.append((end, start))
    return found
