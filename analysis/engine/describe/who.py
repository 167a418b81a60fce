"""Who plays, as a tutor says it: "strings", "two bassoons", "horns 1 and 2", "violins 1".

A chair is a player or a section that can be named by itself. Players are counted where all of
one instrument are meant ("two bassoons"), numbered where some are ("horns 3 and 4"); a family
is named where all of it is meant. Words are English; what no word is known for keeps the label
as printed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from analysis.engine.analyses.attacks import memo
from analysis.engine.instruments.table import INSTRUMENTS
from analysis.engine.model import ScoreTable
from analysis.engine.name_book import Directory, Slot, directory

FAMILIES = {
    "woodwind": "woodwind",
    "brass": "brass",
    "percussion": "percussion",
    "keyboard": "keyboards",
    "plucked": "plucked strings",
    "voice": "voices",
    "strings": "strings",
}
#: chairs from which a family is named as a whole, and as a whole "without" one instrument
FAMILY, FAMILY_WITHOUT = 3, 4
_COUNT = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")


@dataclass(frozen=True, slots=True, order=True)
class Chair:
    """`number` 0: it has none. `lines` show it, any of them."""

    part: int
    number: int
    instrument: str
    family: str
    label: str
    lines: tuple[int, ...]


def chairs(table: ScoreTable, movement: int) -> tuple[Chair, ...]:
    """All chairs of a movement (0-based), in score order."""
    return memo(table, f"_chairs_{movement}", lambda: _chairs(table, movement))


def _chairs(table: ScoreTable, movement: int) -> tuple[Chair, ...]:
    found = []
    book = directory(table, movement)
    of_part: dict[int, list[Slot]] = defaultdict(list)
    for slot in book.slots:
        of_part[slot.part].append(slot)
    for slot in (s for part, slots in of_part.items() for s in _own(book, part, slots)):
        by_instrument: dict[str, list[int]] = defaultdict(list)
        for index in slot.lines:
            by_instrument[table.lines[index].instrument].append(index)
        for instrument, lines in by_instrument.items():
            line = table.lines[lines[0]]
            label = slot.label if len(by_instrument) == 1 else line.name
            number = slot.number or 0
            found.append(Chair(slot.part, number, instrument, line.family, label, tuple(lines)))
    return tuple(sorted(found))


def _own(book: Directory, part: int, slots: list[Slot]) -> list[Slot]:
    """A section is one chair, however it divides; a staff of numbered players has one for each."""
    section = any(not line.players for line in book.lines_of(part))
    if not section or len(slots) < 2:
        return slots
    return slots[1:] if len(book.readings[part][0].players) > 1 else slots[:1]


class Who:
    """The names of one movement's chairs."""

    def __init__(self, table: ScoreTable, movement: int) -> None:
        self.chairs = chairs(table, movement)

    def of(self, lines: Iterable[int]) -> list[Chair]:
        """The chairs that these lines show."""
        wanted = set(lines)
        return [c for c in self.chairs if wanted.intersection(c.lines)]

    def words(self, lines: Iterable[int], *, counted: bool = True) -> list[str]:
        """Names of the chairs of some lines, families first where they are whole.

        Parameters
        ----------
        lines : iterable of int
        counted : bool
            "two bassoons"; False: "bassoons", as of those who rest.

        Returns
        -------
        list of str
            In score order. Empty without lines.
        """
        meant = self.of(lines)
        out: list[str] = []
        for family in dict.fromkeys(c.family for c in self.chairs):
            whole = [c for c in self.chairs if c.family == family]
            mine = [c for c in meant if c.family == family]
            if mine:
                out += self._family(family, whole, mine, counted)
        return out

    def name(self, line: int) -> str:
        """One line's name: "violins 1", "oboe 2", "cellos"."""
        return ", ".join(self.words([line], counted=False))

    def _family(
        self, family: str, whole: list[Chair], mine: list[Chair], counted: bool
    ) -> list[str]:
        word = FAMILIES.get(family)
        if word and family != "percussion":
            if len(mine) == len(whole) >= FAMILY:
                return [word]
            missing = [c for c in whole if c not in mine]
            absent = {c.instrument for c in missing}
            several = len(whole) >= FAMILY_WITHOUT and len({c.instrument for c in whole}) >= FAMILY
            gone = [c for c in whole if c.instrument in absent]
            if several and len(absent) == 1 and missing == gone:
                without = self._instrument(missing, missing, counted=False)
                return [f"{word} without {', '.join(without)}"]
        out: list[str] = []
        for instrument in dict.fromkeys(c.instrument for c in mine):
            own = [c for c in whole if c.instrument == instrument]
            out += self._instrument(own, [c for c in mine if c.instrument == instrument], counted)
        return out

    def _instrument(self, whole: list[Chair], mine: list[Chair], counted: bool) -> list[str]:
        known = INSTRUMENTS.get(mine[0].instrument)
        if known is None or known.key == "unknown":
            return [c.label for c in mine]
        if len(mine) == len(whole):
            if known.section:
                alone = mine[0].number if len(mine) == 1 else 0
                return [f"{known.plural} {alone}" if alone else known.plural]
            if len(mine) == 1:
                return [known.name]
            return [f"{_number(len(mine))} {known.plural}" if counted else known.plural]
        numbers = [c.number for c in whole]
        if 0 in numbers or len(set(numbers)) < len(numbers):
            return [c.label for c in mine]
        many = known.section or len(mine) > 1
        said = [str(c.number) for c in mine]
        row = said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"
        return [f"{known.plural if many else known.name} {row}"]


def _number(count: int) -> str:
    return _COUNT[count] if count < len(_COUNT) else str(count)


def who(table: ScoreTable, movement: int) -> Who:
    """The names of one movement, built once per table."""
    return memo(table, f"_who_{movement}", lambda: Who(table, movement))
