"""How findings name places, parts and distances, and how one is made.

A place is said in printed bar labels, with a beat only where a fact begins
after or ends before the bar it stands in; parts by the names of their lines.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Any

from analysis.engine.analyses.attacks import memo
from analysis.engine.model import Bar, Evidence, Finding, Line, ScoreTable, Sentence

#: PART of a claim: an id, or an object that names a player
PartValue = str | dict[str, Any]

_COUNT = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
          "eleven", "twelve")  # fmt: skip
_ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X")


def part_value(table: ScoreTable, line: int) -> PartValue:
    """PART of a line, as claims write it (contract 1).

    The part's id where it has one line; ``{"part": id, "player": n}`` for one player of
    several; the line's own name where two sections share a staff ("Vc. e Cb.").
    """
    values: tuple[PartValue, ...] = memo(table, "_part_values", lambda: _part_values(table))
    return values[line]


def _part_values(table: ScoreTable) -> tuple[PartValue, ...]:
    lines_of: dict[int, list[Line]] = {}
    for line in table.lines:
        lines_of.setdefault(line.part, []).append(line)
    return tuple(_part_value(table, line, lines_of[line.part]) for line in table.lines)


def _part_value(table: ScoreTable, line: Line, siblings: Sequence[Line]) -> PartValue:
    id_ = table.first_readings[line.part].id
    if len(siblings) == 1:
        return id_
    if 0 < line.players < 1 << 31 and line.players & (line.players - 1) == 0:
        return {"part": id_, "player": line.players.bit_length()}
    same_players = sum(other.players == line.players for other in siblings)
    return line.name if same_players > 1 else {"part": id_, "player": None}


def part_values(table: ScoreTable, lines: Iterable[int]) -> list[PartValue]:
    return [part_value(table, line) for line in lines]


def names(table: ScoreTable, lines: Iterable[int]) -> str:
    """Names of lines in a row: "Flauto, Oboe 1 and Violino I"."""
    return listed([table.lines[line].name for line in lines])


def listed(words: Sequence[str], last: str = "and") -> str:
    """ "C, E and G"; "" for nothing."""
    if len(words) == 1:
        return words[0]
    return f" {last} ".join(p for p in (", ".join(words[:-1]), *words[-1:]) if p)


def some_names(table: ScoreTable, lines: Sequence[int], most: int) -> str:
    """Names of lines, the first `most` of many: "Flauto, Oboe 1 and four more"."""
    if len(lines) <= most + 1:
        return names(table, lines)
    shown = ", ".join(table.lines[line].name for line in lines[:most])
    return f"{shown} and {number(len(lines) - most)} more"


def bar_label(table: ScoreTable, bar: int) -> str:
    b = table.bars[bar]
    return b.label if b.nth == 1 else f"{b.label} (no. {b.nth})"


def place(table: ScoreTable, first: int, last: int) -> str:
    """ "b. 9-12", with the movement before it where a file holds several."""
    start, end = bar_label(table, first), bar_label(table, last)
    return _movement(table, first) + ("b. " + start if first == last else f"b. {start}–{end}")


def span(table: ScoreTable, start: int, end: int, attacks_in: tuple[int, int] | None = None) -> str:
    """A place to the beat: "b. 8, beat 4 – b. 12".

    Parameters
    ----------
    start, end : int
        Ticks, end exclusive.
    attacks_in : (int, int) or None
        First tick in the first bar and first free tick in the last bar that matter: within
        them the beat is left out. Default: the bars' own limits.
    """
    first, last = bar_at(table, start), bar_at(table, max(start, end - 1))
    low, high = attacks_in or (table.bars[first].start, table.bars[last].end)
    begin, finish = bar_label(table, first), bar_label(table, last)
    late, early = start > low, end < high and first != last
    if not late and not early:
        return place(table, first, last)
    left = f"b. {begin}, beat {beat(table.bars[first], start)}" if late else f"b. {begin}"
    if first == last:
        return _movement(table, first) + left
    right = f"b. {finish}"
    if early:
        right += f", beat {beat(table.bars[last], end - 1, floor=True)}"
    return _movement(table, first) + f"{left} – {right}"


def _movement(table: ScoreTable, bar: int) -> str:
    if len(table.movements) < 2:
        return ""
    index = table.bars[bar].movement
    return (_ROMAN[index] if index < len(_ROMAN) else str(index + 1)) + ", "


def bar_at(table: ScoreTable, tick: int) -> int:
    """Index of the bar that holds a tick."""
    starts: list[int] = memo(table, "_bar_start_list", lambda: table.bar_starts().tolist())
    return min(max(bisect_right(starts, tick) - 1, 0), len(starts) - 1)


def beat(bar: Bar, tick: int, *, floor: bool = False) -> str:
    """Beat of a tick, counted from 1 in the printed denominator; a short first bar counts back.

    >>> beat(Bar(0, "1", 1, 0, 40320, 4, 4), 15120)
    '2 1/2'
    """
    upbeat = bar.beats * bar.beat_ticks - bar.length if bar.implicit and bar.beats else 0
    value = 1 + Fraction(tick - bar.start + max(upbeat, 0), bar.beat_ticks)
    whole, rest = divmod(value, 1)
    return str(whole) if floor or not rest else f"{whole} {rest}"


def distance(octaves: int) -> str:
    """ "in unison", "one octave higher", "two octaves lower"."""
    if not octaves:
        return "in unison"
    count = abs(octaves)
    word = _COUNT[count] if count < len(_COUNT) else str(count)
    return f"{word} octave{'s' if count > 1 else ''} {'higher' if octaves > 0 else 'lower'}"


def number(count: int) -> str:
    """Numbers to twelve in words."""
    return _COUNT[count] if 0 <= count < len(_COUNT) else str(count)


def mixed(value: float) -> str:
    """Halves and quarters as printed: "2", "3 1/2"."""
    whole, rest = divmod(Fraction(value).limit_denominator(48), 1)
    return f"{whole} {rest}" if whole and rest else str(rest or whole)


def finding(
    table: ScoreTable,
    value: Mapping[str, Any],
    *,
    start: int,
    end: int,
    lines: Sequence[int],
    evidence: Sequence[Evidence],
    template: str,
    params: Mapping[str, Any],
    bars: tuple[int, int] | None = None,
    confidence: float = 1.0,
) -> Finding:
    """A finding over ``start <= t < end`` (ticks); bars follow unless given.

    A note of no length, as some files have it, takes its moment.
    """
    end = max(end, start + 1)
    first, last = bars or (bar_at(table, start), bar_at(table, max(start, end - 1)))
    return Finding(
        kind=str(value["kind"]),
        movement=table.bars[first].movement,
        first=first,
        last=last,
        start=int(start),
        end=int(end),
        lines=tuple(lines),
        value=value,
        confidence=confidence,
        evidence=tuple(evidence),
        sentence=Sentence(template, params),
    )
