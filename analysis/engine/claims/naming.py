"""A part of an answer, named so that it is found again."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from analysis.engine import places
from analysis.engine.analyses.attacks import memo
from analysis.engine.claims import evidence as proof
from analysis.engine.model import ScoreTable
from analysis.engine.names import Unit


def place_json(table: ScoreTable, first: int, last: int) -> Any:
    """PLACE of bars first..last, kept on the table: truths ask for the same ones often."""
    known: dict[tuple[int, int], Any] = memo(table, "_places", dict)
    if (first, last) not in known:
        known[first, last] = places.place_of(table, first, last)
    return known[first, last]


def pause_json(table: ScoreTable, start: int, end: int) -> Any:
    """PLACE of a stretch of time (ticks, end exclusive): whole bars, or its beats.

    The last beat named is one that lies wholly within the stretch, if any does.
    """
    first, last = places.bar_at(table, start), places.bar_at(table, end - 1)
    if table.bars[first].start == start and table.bars[last].end == end:
        return place_json(table, first, last)
    points = []
    for bar, tick in ((first, start), (last, _last_beat(table, last, start, end))):
        found = table.bars[bar]
        points.append({**places.point_of(table, tick), "bar": found.label, "nth": found.nth})
    return {"from": points[0], "to": points[1]}


def _last_beat(table: ScoreTable, bar: int, start: int, end: int) -> int:
    """Tick at which the last whole beat before `end` begins, in `bar`."""
    found = table.bars[bar]
    beats = (end - found.start) // found.beat_ticks
    tick = found.start + max(beats - 1, 0) * found.beat_ticks
    return max(tick, start) if places.bar_at(table, start) == bar else tick


def part_json(table: ScoreTable, unit: Unit) -> object:
    """PART of a unit: its id, one player of it, or the name of a line."""
    id_ = table.first_readings[unit.part].id
    own = [line.index for line in table.lines if line.part == unit.part]
    if set(own) == set(unit.lines):
        return id_
    if len(unit.lines) == 1:
        line = table.lines[unit.lines[0]]
        if line.players and line.players & (line.players - 1) == 0:
            return {"part": id_, "player": line.players.bit_length()}
        return line.name
    return unit.label


def units_playing(table: ScoreTable, bars: Iterable[int]) -> list[Unit]:
    found = []
    for part in range(table.part_count):
        lines = tuple(line.index for line in table.lines if line.part == part)
        sounding = [i for i in lines if proof.bars_sounding(table, [i]) & set(bars)]
        if sounding:
            found.append(Unit(part, lines, table.first_readings[part].label))
    return found
