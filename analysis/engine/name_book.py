"""Who can be named in one movement: its parts, their players, their labels."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from analysis.engine.instruments.names import parse_label
from analysis.engine.instruments.table import INSTRUMENTS
from analysis.engine.model import Line, PartReading, ScoreTable


@dataclass(frozen=True, slots=True)
class Unit:
    """One thing that must hold: a staff, or a player of it. Any of its lines may show it."""

    part: int
    lines: tuple[int, ...]
    label: str


@dataclass(frozen=True, slots=True)
class Named:
    """What a name means here.

    `others` are further meanings of the same words ("winds" with or without
    the brass), tried when the first does not fit. `how`: "label", "synonym",
    "collective" (`whole` then says whether it takes in everybody).
    """

    text: str
    units: tuple[Unit, ...]
    how: str = "label"
    others: tuple[tuple[Unit, ...], ...] = ()
    whole: bool = False

    @property
    def lines(self) -> tuple[int, ...]:
        return tuple(dict.fromkeys(line for unit in self.units for line in unit.lines))


@dataclass(frozen=True, slots=True)
class Slot:
    """A player or a section that can be named by itself."""

    part: int
    lines: tuple[int, ...]
    number: int | None
    instruments: frozenset[str]
    label: str


@dataclass(frozen=True)
class Directory:
    """All names of one movement."""

    table: ScoreTable
    movement: int
    readings: dict[int, tuple[PartReading, ...]] = field(default_factory=dict)

    @cached_property
    def slots(self) -> tuple[Slot, ...]:
        found: list[Slot] = []
        for part in self.parts:
            lines = self.lines_of(part)
            players = sorted({n for line in lines for n in players_of(line)})
            if not players or any(not line.players for line in lines):
                # A section; where it divides, its halves are lines and no players.
                number = _label_number(self.label(part))
                found.append(self._slot(part, lines, number, self.label(part)))
            for n in players:
                mine = [line for line in lines if not line.players or n in players_of(line)]
                label = self.label(part) if len(players) == 1 else self._player_label(part, n)
                found.append(self._slot(part, mine, n, label))
        return tuple(found)

    def _slot(self, part: int, lines: Sequence[Line], number: int | None, label: str) -> Slot:
        keys = {line.instrument for line in lines} | {r.instrument for r in self.readings[part]}
        if len({line.instrument for line in lines}) > 1:  # "Vc. e Cb.": a slot each, see below
            keys = {line.instrument for line in lines}
        return Slot(part, tuple(x.index for x in lines), number, frozenset(keys), label)

    def _player_label(self, part: int, player: int) -> str:
        name = INSTRUMENTS.get(self.readings[part][0].instrument)
        word = name.name.capitalize() if name else self.label(part)
        return f"{word} {player}"

    @property
    def parts(self) -> list[int]:
        return sorted(self.readings)

    def label(self, part: int) -> str:
        return self.readings[part][0].label or f"Part {part + 1}"

    def lines_of(self, part: int) -> list[Line]:
        return [line for line in self.table.lines if line.part == part]

    def unit(self, part: int, lines: Iterable[int] | None = None, label: str = "") -> Unit:
        own = tuple(x.index for x in self.lines_of(part)) if lines is None else tuple(lines)
        return Unit(part, own, label or self.label(part))


def players_of(line: Line) -> list[int]:
    """Player numbers of a line; none for a section."""
    return [n + 1 for n in range(31) if line.players >> n & 1]


def _label_number(label: str) -> int | None:
    numbers = parse_label(label).players.numbers
    return numbers[0] if len(numbers) == 1 else None


def directory(table: ScoreTable, movement: int) -> Directory:
    """The names of one movement (0-based), built once per table."""
    store = table.__dict__.setdefault("_directories", {})
    if movement not in store:
        span = table.movements[movement]
        readings: dict[int, tuple[PartReading, ...]] = {}
        for part in range(table.part_count):
            here = [table.reading_at(part, span.first_bar)]
            here += [
                r
                for r in table.parts
                if r.index == part and span.first_bar < r.from_bar <= span.last_bar
            ]
            readings[part] = tuple(here)
        store[movement] = Directory(table, movement, readings)
    found: Directory = store[movement]
    return found
