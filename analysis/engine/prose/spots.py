"""Spots: the places found in a text, each `@n;` there, and how two of them become one."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from analysis.engine import places
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import ScoreTable

SPOT = r"@(\d+);"
_NUMBER = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8}
NTH = {"first": 1, "1st": 1, "second": 2, "2nd": 2, "third": 3, "3rd": 3, "prima": 1,
        "seconda": 2, "1a": 1, "2a": 2}  # fmt: skip


def count(word: str) -> int:
    return _NUMBER.get(word) or int(word)


@dataclass
class Finder:
    """The places of one text, as they are found."""

    table: ScoreTable
    movement: int
    number: int | None = None  # pass
    spots: list[tuple[int, int, Any]] = field(default_factory=list)  # bars, PLACE
    questions: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)  # how a place was counted

    # -- from words to spots -------------------------------------------------

    def place(self, place: Any) -> str:
        first = last = -1
        try:
            span = places.resolve(place, self.table, self.movement)
            first, last = span.first, span.last
        except ClaimNotUnderstood as question:
            self.questions.append(str(question))
        self.spots.append((first, last, place))
        return f"@{len(self.spots) - 1};"

    def bars(self, first: int, last: int) -> str:
        span = self.table.movements[self.movement]
        if not span.first_bar <= first <= last <= span.last_bar:
            self.questions.append("These bars lie outside the movement; give their numbers.")
            return "@"
        return self.place(places.place_of(self.table, first, last))

    def one(self, label: str, beat: str | None) -> str:
        if beat is None and self.number is None:
            return self.place([label])
        point = self._point(label, beat)
        return self.place({"from": point, "to": point})

    def two(self, a: str, b: str, beat_a: str | None = None, beat_b: str | None = None) -> str:
        if a.isdigit() and b.isdigit() and int(b) < int(a) and len(b) < len(a):
            b = a[: len(a) - len(b)] + b  # "41-4" is 41-44
        if beat_a is None and beat_b is None and self.number is None:
            return self.place([a, b])
        return self.place({"from": self._point(a, beat_a), "to": self._point(b, beat_b)})

    def _point(self, label: str, beat: str | None) -> dict[str, Any]:
        point: dict[str, Any] = {"bar": label}
        if beat is not None:
            point["beat"] = int(beat)
        if self.number is not None:
            point["pass"] = self.number
        return point

    def mark_bar(self, mark: str) -> int | None:
        marks = [m for m in self.table.marks if m.kind == "rehearsal"
                 and self.table.bars[m.bar].movement == self.movement]  # fmt: skip
        mine = [m.bar for m in marks if m.text.casefold() == mark.casefold()]
        if mine:
            return mine[0]
        there = ", ".join(dict.fromkeys(m.text for m in marks)) or "none; give the bar's number"
        self.questions.append(f"There is no mark {mark.upper()} here; there are {there}.")
        return None

    def from_mark(self, mark: str, steps: int) -> str:
        bar = self.mark_bar(mark)
        return "@" if bar is None else self.bars(bar + steps, bar + steps)

    def counted(self, mark: str, bars: int, way: str) -> str:
        """ "3 after C", "2 before C": after it the bar with the letter is the first, before it none.

        Customs vary (trade facts 7.4), so the bar that comes out is told with how it was counted.
        """
        bar = self.mark_bar(mark)
        if bar is None:
            return "@"
        if (bars, way) == (1, "after") and bar < self.table.movements[self.movement].last_bar:
            here, next_ = (self.table.bars[i].label for i in (bar, bar + 1))
            self.questions.append(
                f"One bar after {mark.upper()}: the bar with {mark.upper()} itself, {here}, or {next_}?"
            )
        spot = self.from_mark(mark, bars - 1 if way == "after" else -bars)
        if spot != "@":
            label = self.table.bars[self.spots[-1][0]].label
            named = mark.upper()
            counts = (
                f"the bar with {named} counts as 1"
                if way == "after"
                else f"counted back from {named}, which is left out"
            )
            self.notes.append(f"{bars} {way} {named} is bar {label}: {counts}.")
        return spot

    def many(self, bars: int, where: str, mark: str | None) -> str:
        span = self.table.movements[self.movement]
        if mark is not None:
            start = self.mark_bar(mark)
            return "@" if start is None else self.bars(start, start + bars - 1)
        if where == "last":
            return self.bars(span.last_bar - bars + 1, span.last_bar)
        return self.bars(span.first_bar, span.first_bar + bars - 1)

    def pickup(self) -> str:
        first = self.table.bars[self.table.movements[self.movement].first_bar]
        if not first.implicit and first.label != "0":
            self.questions.append("Which upbeat? Give the bar it leads to.")
        return self.place([first.label])

    def ending(self, nth: str) -> str:
        span = self.table.movements[self.movement]
        here = self.table.bars[span.first_bar : span.last_bar + 1]
        found = [b.index for b in here if str(NTH[nth]) in b.ending]
        if not found:
            self.questions.append(f"There is no {nth}-time bar here; give its number.")
            return "@"
        return self.bars(found[0], found[-1])

    def listed(self, match: re.Match[str]) -> str:
        """Bars one by one: one place where they follow each other."""
        labels = re.findall(r"\d+[a-z]?", match["labels"])
        numbers = [int(re.sub(r"\D", "", label)) for label in labels]
        metre = not match["word"] and "/" in match["labels"] and numbers[0] < 9
        players = match["paren"] and numbers[0] < 5
        if metre or players or numbers != sorted(set(numbers)):
            return match.group(0)
        try:
            spans = [places.resolve([label], self.table, self.movement) for label in labels]
        except ClaimNotUnderstood:
            return match.group(0)
        if all(a.last + 1 == b.first for a, b in pairwise(spans)):
            return f" {self.bars(spans[0].first, spans[-1].last)} "
        if not match["word"] and len(labels) < 3:
            return match.group(0)
        return " " + ", ".join(self.one(label, None) for label in labels) + " "

    def upbeat(self, first: int, to: int | None = None) -> str:
        """The last beat before a bar, or from there to the end of another."""
        if first <= self.table.movements[self.movement].first_bar:
            return "@" if to is None else self.bars(first, to)
        before = self.table.bars[first - 1]
        start = {"bar": before.label, "nth": before.nth, "beat": before.beats or 1}
        if to is None:
            return self.place({"from": start, "to": start})
        last = self.table.bars[to]
        return self.place({"from": start, "to": {"bar": last.label, "nth": last.nth}})

    def upbeat_to(self, label: str) -> str:
        try:
            return self.upbeat(places.resolve([label], self.table, self.movement).first)
        except ClaimNotUnderstood as question:
            self.questions.append(str(question))
            return "@"

    def single(self, token: str) -> bool:
        """Whether a spot is one bar."""
        first, last, _ = self.spots[int(token)]
        return first == last

    # -- spots that belong together ------------------------------------------

    def joined(self, match: re.Match[str]) -> str:
        """A place from one spot to another."""
        one, other = self.spots[int(match.group(1))], self.spots[int(match.group(2))]
        if -1 in (one[0], other[0]) or other[1] < one[0]:
            return match.group(0)
        if isinstance(one[2], dict):
            end = other[2]["to"] if isinstance(other[2], dict) else {"bar": other[2][-1]}
            return self.place({"from": one[2]["from"], "to": end})
        return self.bars(one[0], other[1])

    def to_the_end(self, match: re.Match[str]) -> str:
        one = self.spots[int(match.group(1))]
        last = self.table.movements[self.movement].last_bar
        return match.group(0) if one[0] == -1 else self.bars(one[0], last)

    def from_the_start(self, match: re.Match[str]) -> str:
        one = self.spots[int(match.group(1))]
        first = self.table.movements[self.movement].first_bar
        return match.group(0) if one[0] == -1 else self.bars(first, one[1])

    def far(self, match: re.Match[str]) -> str:
        """ "At D the horns rest, up to 36": the end of the place stands later in the sentence."""
        here = [int(n) for n in re.findall(SPOT, match.string)]
        one, other = self.spots[int(match.group(1))], self.spots[int(match.group(3))]
        if len(here) != 2 or -1 in (one[0], other[0]) or one[0] != one[1] or other[1] < one[0]:
            return match.group(0)
        return f"{self.bars(one[0], other[1])}{match.group(2)}"

    def and_next(self, label: str) -> str:
        """ "33f.": this bar and the one after it."""
        try:
            first = places.resolve([label], self.table, self.movement).first
        except ClaimNotUnderstood as question:
            self.questions.append(str(question))
            return "@"
        last = self.table.movements[self.movement].last_bar
        return self.bars(first, min(first + 1, last))

    def lasting(self, match: re.Match[str]) -> str:
        """ "3 after C for two bars"."""
        one, many = self.spots[int(match.group(1))], count(match.group(2))
        if one[0] == -1 or one[0] != one[1]:
            return f"@{match.group(1)};"
        return self.bars(one[0], one[0] + many - 1)

    def with_upbeat(self, match: re.Match[str]) -> str:
        one = self.spots[int(match.group(1))]
        return f"@{match.group(1)};" if one[0] == -1 else self.upbeat(one[0], one[1])

    def met(self, match: re.Match[str]) -> str:
        """Two spots side by side: next to each other one place, one in the other the wider."""
        one, other = self.spots[int(match.group(1))], self.spots[int(match.group(2))]
        if -1 not in (one[0], other[0]):
            if one[1] + 1 == other[0]:
                return self.bars(one[0], other[1])
            for wide, narrow, token in ((one, other, 1), (other, one, 2)):
                if wide[0] <= narrow[0] and narrow[1] <= wide[1]:
                    return f"@{match.group(token)};"
        return match.group(0)
