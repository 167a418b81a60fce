"""What one printed note gives each line, and the state that words leave behind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from analysis.engine.model import UNKNOWN_PLAYERS
from analysis.engine.reader.player_words import PlayerWord
from analysis.engine.reader.staff_groups import Group


@dataclass(frozen=True, slots=True)
class Share:
    """One row to be: a printed note as one line plays it."""

    row: int  # raw row
    line: int  # within the part
    players: int
    flags: int = 0
    octave: int = 0  # octaves to add: -1 for the basses of a shared staff


@dataclass(slots=True)
class Shares:
    """All rows of one part, and what was not certain."""

    rows: list[Share] = field(default_factory=list)
    unknown: set[int] = field(default_factory=set)  # bars
    solo: set[int] = field(default_factory=set)  # bars where "solo" may name one player
    divided: set[int] = field(default_factory=set)  # bars divided without a word

    def add(self, row: int, line: int, players: int, flags: int = 0, octave: int = 0) -> None:
        self.rows.append(Share(row, line, players, flags, octave))


def bit(player: int) -> int:
    """Mask of one player; players beyond 31 have none."""
    return 1 << (player - 1) if 1 <= player <= 31 else UNKNOWN_PLAYERS


def with_words(
    groups: Sequence[Group], words: Sequence[tuple[int, PlayerWord]]
) -> Iterator[tuple[Group, list[tuple[int, PlayerWord]]]]:
    """Each group with the words that stand between the last one and its onset."""
    at = 0
    for group in groups:
        new = []
        while at < len(words) and words[at][0] <= group.onset:
            new.append(words[at])
            at += 1
        yield group, new
