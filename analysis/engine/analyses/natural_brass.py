"""Natural brass that plays by its open tones, in groups of one instrument and crook."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.open_tones import (
    NATURAL_SHARE,
    Crooked,
    crooked,
    doubtful_classes,
    open_classes,
    tones,
)
from analysis.engine.instruments import brass
from analysis.engine.instruments.crooks import Crook
from analysis.engine.model import ScoreTable
from analysis.engine.settings import Settings


@dataclass(frozen=True, slots=True)
class Group:
    """Lines of one instrument and one crook, over the same bars."""

    instrument: str
    crook: Crook
    lines: tuple[int, ...]
    first: int
    last: int

    def open(self, settings: Settings) -> frozenset[int]:
        """Pitch classes truly open in some octave."""
        return frozenset(open_classes(self.crook, self.instrument, settings))

    def doubtful(self, settings: Settings) -> frozenset[int]:
        """Pitch classes that only partials 7, 11, 13 and 14 give."""
        return frozenset(doubtful_classes(self.crook, self.instrument, settings))

    def closed(self, classes: Iterable[int]) -> list[int]:
        """Those pitch classes that no partial comes near in any octave."""
        near = {p % 12 for p in brass.open_tones(self.instrument, self.crook, doubtful=True)}
        return [pc for pc in classes if pc not in near]

    def usual(self, line: int, table: ScoreTable) -> frozenset[int]:
        """Open pitches (MIDI) a first or second player usually has."""
        low, high = brass.usual_partials(self.instrument, self.crook, player(table, line))
        lowest, highest = brass.printed(low, self.crook), brass.printed(high, self.crook)
        tones_ = brass.open_tones(self.instrument, self.crook)
        return frozenset(p for p in tones_ if lowest <= p <= highest)


def player(table: ScoreTable, line: int) -> int:
    """Number of the player a line stands for; 1 where it has none."""
    players = table.lines[line].players
    if 0 < players < 1 << 31:
        return (players & -players).bit_length()
    found = table.first_readings[table.lines[line].part].players
    return found[0] if found else 1


def natural(table: ScoreTable, settings: Settings) -> tuple[Crooked, ...]:
    """Lines with a crook that play mostly open or doubtful tones, span by span."""
    return memo(table, f"_natural-{hash(settings)}", lambda: _natural(table, settings))


def _natural(table: ScoreTable, settings: Settings) -> tuple[Crooked, ...]:
    found = []
    for here in crooked(table):
        rows = table.by_line[here.line]
        rows = rows[(rows["bar"] >= here.first) & (rows["bar"] <= here.last)]
        if not len(rows):
            continue
        kinds = [t.openness for t in tones(rows, here.crook, here.instrument, settings)]
        if 1 - kinds.count("not open") / len(kinds) >= NATURAL_SHARE:
            found.append(here)
    return tuple(found)


def groups(table: ScoreTable, settings: Settings) -> tuple[Group, ...]:
    """Natural brass by instrument, crook and span, in score order."""
    found: dict[tuple[str, str, int, int], list[Crooked]] = {}
    for here in natural(table, settings):
        key = (here.instrument, here.crook.name, here.first, here.last)
        found.setdefault(key, []).append(here)
    return tuple(
        Group(h[0].instrument, h[0].crook, tuple(c.line for c in h), h[0].first, h[0].last)
        for h in found.values()
    )


def groups_at(table: ScoreTable, settings: Settings, bar: int, instrument: str) -> list[Group]:
    """The groups of an instrument that have their crook in `bar`."""
    return [
        g
        for g in groups(table, settings)
        if g.instrument == instrument and g.first <= bar <= g.last
    ]
