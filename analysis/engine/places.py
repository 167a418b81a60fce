"""Places: printed bar labels and beats to bar indices and ticks, and back.

PLACE is ``[label]``, ``[label, label]`` (inclusive) or ``{"from": POINT, "to":
POINT, "movement", "score"}`` with POINT = ``{"bar": label, "nth", "beat",
"pass"}``. Beats count from 1 in the printed denominator; a short first bar
counts back from its end, so that an upbeat crotchet in 4/4 is beat 4.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import Any

from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import TICKS, Bar, Movement, ScoreTable

_PREFIX = re.compile(
    r"^(?:bars?|bb?\.|mm?\.|measures?|takt|t\.|batt(?:uta|\.)|mes(?:ure|\.))\s*", re.I
)
_RANGE = re.compile(r"^(\S+)\s*(?:-|–|to)\s*(\S+)$")
_LONGEST_LISTING = 8


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of one movement.

    `first` and `last` are bar indices, inclusive; `start` and `end` ticks, the
    end exclusive. `note` tells how an ambiguous place was taken, "" if there
    was nothing to tell. `passes` are the passes named at both ends.
    """

    first: int
    last: int
    start: int
    end: int
    note: str = ""
    passes: tuple[int | None, int | None] = (None, None)
    movement: int = 0


def resolve(place: Any, table: ScoreTable, movement: int = 0) -> Span:
    """Find a PLACE in a score.

    Parameters
    ----------
    place : list or mapping
        PLACE as JSON.
    table : ScoreTable
    movement : int, default 0
        0-based; a movement named in the place itself (1-based) wins.

    Raises
    ------
    ClaimNotUnderstood
        A label, beat, pass or movement that is not there, or an end before
        its start. The sentence says what there is.

    Examples
    --------
    >>> resolve(["9", "12"], table)  # doctest: +SKIP
    Span(first=8, last=11, ...)
    """
    if isinstance(place, Mapping):
        number = place.get("movement")
        if number is not None:
            movement = int(number) - 1
        start, end = place.get("from"), place.get("to")
    elif isinstance(place, list | tuple) and 1 <= len(place) <= 2:
        start, end = _ends(place, table, movement)
    else:
        start = end = None
    if start is None or end is None:
        raise ClaimNotUnderstood('A place is written like ["9"], ["9", "12"] or with from and to.')
    return _Finder(table, _movement(table, movement)).span(_point(start), _point(end))


def resolve_point(point: Any, table: ScoreTable, movement: int = 0) -> Span:
    """A single POINT: the beat it names, or the whole bar where it names none."""
    found = _point(point)
    return _Finder(table, _movement(table, movement)).span(found, found)


def place_of(table: ScoreTable, first: int, last: int) -> list[str] | dict[str, Any]:
    """PLACE of a span of bars; `resolve` gives the same bars back.

    Plain labels where they are unmistakable, else points with `nth`.
    """
    a, b = table.bars[first], table.bars[last]
    plain = [a.label] if first == last else [a.label, b.label]
    try:
        span = resolve(plain, table, a.movement)
        if (span.first, span.last, span.note) == (first, last, ""):
            return plain
    except ClaimNotUnderstood:
        pass
    return {"from": {"bar": a.label, "nth": a.nth}, "to": {"bar": b.label, "nth": b.nth}}


def point_of(table: ScoreTable, tick: int) -> dict[str, Any]:
    """POINT of a moment: bar, and beat as a number (a fraction becomes a float)."""
    bar = bar_at(table, tick)
    beat = beat_at(table, bar, tick)
    point: dict[str, Any] = {"bar": table.bars[bar].label}
    if not _alone(table, table.bars[bar]):
        point["nth"] = table.bars[bar].nth
    point["beat"] = int(beat) if beat.denominator == 1 else float(beat)
    return point


def label(table: ScoreTable, bar: int) -> str:
    """How a bar is called in a sentence: its printed label, told apart where others share it."""
    found = table.bars[bar]
    if _alone(table, found) or (found.nth == 1 and _continued(table, bar)):
        return found.label
    if found.nth == 2 and bar and _continued(table, bar - 1):
        return f"{found.label} (2nd half)"
    return f"{found.label} ({_ordinal(found.nth)})"


def words(table: ScoreTable, first: int, last: int) -> str:
    """A span of bars in a sentence: "bar 9", "bars 9–12"."""
    a, b = label(table, first), label(table, last)
    if first == last:
        return f"bar {a}"
    if last and _continued(table, last - 1):
        b = table.bars[last].label  # up to the end of a divided bar
    return f"bar {a}" if a == b else f"bars {a}–{b}"


def bar_at(table: ScoreTable, tick: int) -> int:
    """Index of the bar a moment lies in; the last bar holds what comes after it."""
    starts = table.bar_starts()
    return max(int(starts.searchsorted(tick, side="right")) - 1, 0)


def beat_at(table: ScoreTable, bar: int, tick: int) -> Fraction:
    """Beat of a moment in a bar, from 1, in the printed denominator."""
    found = table.bars[bar]
    return _first_beat(table, found) + Fraction(tick - found.start, found.beat_ticks)


def listing(table: ScoreTable, movement: int = 0) -> str:
    """The bars there are, for a sentence: "0 to 92, and 24a, 24b"."""
    found = _movement(table, movement)
    runs: list[tuple[int, int]] = []
    others: list[str] = []
    for bar in table.bars[found.first_bar : found.last_bar + 1]:
        if not bar.label.isdigit():
            others.append(bar.label)
            continue
        number = int(bar.label)
        if runs and runs[-1][0] <= number <= runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], max(number, runs[-1][1]))
        else:
            runs.append((number, number))
    runs = list(dict.fromkeys(runs))
    parts = [str(a) if a == b else f"{a} to {b}" for a, b in runs[:_LONGEST_LISTING]]
    if len(runs) > _LONGEST_LISTING:
        parts.append("more")
    odd = list(dict.fromkeys(others))[:_LONGEST_LISTING]
    text = ", ".join(parts)
    if odd:
        text += (", and " if text else "") + ", ".join(odd)
    return text


# -- finding ------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Point:
    bar: str
    nth: int | None = None
    beat: Fraction | None = None
    number: int | None = None  # pass


def _point(value: Any) -> _Point:
    if isinstance(value, str | int) and not isinstance(value, bool):
        return _Point(_clean(value))
    if not isinstance(value, Mapping) or value.get("bar") is None:
        raise ClaimNotUnderstood('A place in a bar is written like {"bar": "12", "beat": 3}.')
    beat = value.get("beat")
    try:
        exact = None if beat is None else Fraction(str(beat)).limit_denominator(TICKS)
        nth = None if value.get("nth") is None else int(value["nth"])
        number = None if value.get("pass") is None else int(value["pass"])
    except (ValueError, TypeError, ZeroDivisionError, OverflowError):
        raise ClaimNotUnderstood("Beat, nth and pass are numbers, counted from 1.") from None
    return _Point(_clean(value["bar"]), nth, exact, number)


def _clean(value: Any) -> str:
    """A label as typed: "b. 12" and "012" are 12, other words stay."""
    text = _PREFIX.sub("", str(value).strip()).strip()
    stripped = text.lstrip("0")
    return (stripped or "0") if text.isdigit() else text


def _same(a: str, b: str) -> bool:
    return _folded(a) == b.casefold()


@lru_cache(maxsize=16_384)
def _folded(label: str) -> str:
    """A printed label as it is looked up, cleaned once: every claim asks for all labels."""
    return _clean(label).casefold()


def _labelled(table: ScoreTable, movement: Movement) -> dict[str, list[Bar]]:
    """The bars of a movement by their label as it is looked up; built once."""
    store: dict[int, dict[str, list[Bar]]] = table.__dict__.setdefault("_labelled", {})
    if movement.index not in store:
        found: dict[str, list[Bar]] = {}
        for bar in table.bars[movement.first_bar : movement.last_bar + 1]:
            found.setdefault(_folded(bar.label), []).append(bar)
        store[movement.index] = found
    return store[movement.index]


def _ends(place: Sequence[Any], table: ScoreTable, movement: int) -> tuple[Any, Any]:
    """Both ends of a list; one text "9-12" is taken apart unless a bar is called so."""
    if len(place) == 1 and isinstance(place[0], str):
        match = _RANGE.match(_clean(place[0]))
        found = _movement(table, movement)
        bars = table.bars[found.first_bar : found.last_bar + 1]
        if match and not any(_same(b.label, _clean(place[0])) for b in bars):
            return match.group(1), match.group(2)
    return place[0], place[-1]


def _movement(table: ScoreTable, index: int) -> Movement:
    if not 0 <= index < len(table.movements):
        count = len(table.movements)
        has = "one movement" if count == 1 else f"{count} movements"
        raise ClaimNotUnderstood(f"There is no movement {index + 1}; this score has {has}.")
    return table.movements[index]


class _Finder:
    def __init__(self, table: ScoreTable, movement: Movement) -> None:
        self.table = table
        self.movement = movement
        self.bars = table.bars[movement.first_bar : movement.last_bar + 1]
        self.notes: list[str] = []

    def span(self, start: _Point, end: _Point) -> Span:
        first = self._bar(start, self.movement.first_bar)
        last = first if start == end else self._bar(end, first.index)
        if end.nth is None and end.number is None and end.beat is None:
            last = self._whole(last)
        if last.index < first.index:
            raise ClaimNotUnderstood(
                f"Bar {end.bar} comes before bar {start.bar}; give the earlier bar first."
            )
        begin = first.start if start.beat is None else self._tick(first, start.beat)
        finish = last.end if end.beat is None else self._end_of(last, end.beat)
        if finish <= begin:
            raise ClaimNotUnderstood("This place ends before it begins; check its beats.")
        return Span(
            first.index,
            last.index,
            begin,
            finish,
            " ".join(dict.fromkeys(self.notes)),
            (start.number, end.number),
            self.movement.index,
        )

    def _bar(self, point: _Point, after: int) -> Bar:
        """The bar of a point; of several with its label the first one from `after` on."""
        named = list(_labelled(self.table, self.movement).get(point.bar.casefold(), ()))
        if not named:
            raise ClaimNotUnderstood(self._no_such(point.bar))
        if point.nth is not None:
            if not 1 <= point.nth <= len(named):
                times = "one bar" if len(named) == 1 else f"{len(named)} bars"
                raise ClaimNotUnderstood(f"There is only {times} “{point.bar}” here.")
            named = [named[point.nth - 1]]
        if point.number is not None:
            played = [b for b in named if point.number in b.passes]
            if not played:
                raise ClaimNotUnderstood(self._no_pass(named, point))
            named = played
        later = [b for b in named if b.index >= after] or named
        chosen = later[0]
        if point.beat is not None and len(named) > 1 and self._continues(named):
            # The second half of a divided bar has the later beats.
            chosen = next((b for b in later if self._has(b, point.beat)), chosen)
        elif len(named) > 1 and point.nth is None and not self._continues(named):
            where = {1: "first", 2: "second", 3: "third"}.get(chosen.nth, f"{chosen.nth}th")
            self.notes.append(
                f"{len(named)} bars are called {point.bar} here; the {where} one was taken."
            )
        return chosen

    def _continues(self, named: Sequence[Bar]) -> bool:
        """Whether bars of one label are the halves of one bar."""
        return all(b.implicit and b.index == a.index + 1 for a, b in pairwise(named))

    def _whole(self, bar: Bar) -> Bar:
        """The last half of a bar that a repeat sign divides."""
        index = bar.index
        while index < self.movement.last_bar:
            after = self.table.bars[index + 1]
            if not (after.implicit and after.label == bar.label):
                break
            index += 1
        return self.table.bars[index]

    def _has(self, bar: Bar, beat: Fraction) -> bool:
        return bar.start <= self._at(bar, beat) < bar.end

    def _at(self, bar: Bar, beat: Fraction) -> int:
        return bar.start + round((beat - _first_beat(self.table, bar)) * bar.beat_ticks)

    def _tick(self, bar: Bar, beat: Fraction) -> int:
        if not self._has(bar, beat):
            low = _first_beat(self.table, bar)
            high = low + Fraction(bar.length, bar.beat_ticks) - Fraction(1, bar.beat_ticks)
            raise ClaimNotUnderstood(
                f"Bar {bar.label} has no beat {_number(beat)}; it has the beats"
                f" {_number(Fraction(int(low)))} to {int(high)}."
            )
        return self._at(bar, beat)

    def _end_of(self, bar: Bar, beat: Fraction) -> int:
        """The end of the beat a point lies in."""
        self._tick(bar, beat)
        return min(self._at(bar, Fraction(int(beat) + 1)), bar.end)

    def _no_such(self, wanted: str) -> str:
        which = "This movement" if len(self.table.movements) > 1 else "This score"
        there = listing(self.table, self.movement.index)
        text = f"There is no bar {wanted}. {which} has bars {there}."
        for mark in self.table.marks:
            if mark.kind == "rehearsal" and mark.text.casefold() == wanted.casefold():
                bar = self.table.bars[mark.bar]
                if bar.movement == self.movement.index:
                    text += f" The rehearsal mark {mark.text} stands at bar {bar.label}."
                    break
        return text

    def _no_pass(self, named: Sequence[Bar], point: _Point) -> str:
        passes = sorted({p for b in named for p in b.passes})
        if passes == [1]:
            return f"Bar {point.bar} is played once only; there is no pass {point.number}."
        told = ", ".join(map(str, passes))
        return f"Bar {point.bar} has no pass {point.number}; it is played in pass {told}."


def _first_beat(table: ScoreTable, bar: Bar) -> Fraction:
    """Beat at the start of a bar: 1, or later where a short bar counts back from its end."""
    nominal = bar.beats * bar.beat_ticks
    upbeat = bar.implicit or bar.index == table.movements[bar.movement].first_bar
    if upbeat and 0 < bar.length < nominal:
        return 1 + Fraction(nominal - bar.length, bar.beat_ticks)
    return Fraction(1)


def _alone(table: ScoreTable, bar: Bar) -> bool:
    """Whether no other bar of the movement has this label."""
    store: dict[tuple[int, str], int] = table.__dict__.setdefault("_labels", {})
    if not store:
        for b in table.bars:
            store[b.movement, b.label] = store.get((b.movement, b.label), 0) + 1
    return store[bar.movement, bar.label] == 1


def _continued(table: ScoreTable, bar: int) -> bool:
    """Whether the only other bar of this label is the second half of this one."""
    found = table.bars[bar]
    movement = table.movements[found.movement]
    later = [b for b in table.bars[bar + 1 : movement.last_bar + 1] if b.label == found.label]
    return len(later) == 1 and later[0].index == bar + 1 and later[0].implicit


def _ordinal(number: int) -> str:
    return {1: "1st", 2: "2nd", 3: "3rd"}.get(number, f"{number}th")


def _number(value: Fraction) -> str:
    return str(int(value)) if value.denominator == 1 else f"{float(value):.3g}"
