"""Readings of repeats: the same bars of the other ending, the same passage the other time through.

A student who writes 24a and describes 24b has read the passage, only of the other bracket.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from analysis.engine.analyses.attacks import memo
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bound, Judgement, Rule, Scene
from analysis.engine.claims.variants import Variant
from analysis.engine.model import Bar, ScoreTable
from analysis.engine.sentences import register

register(
    {
        "claim.reading.ending": (
            "It fits {bars}, the other ending: here the two endings are not alike."
        ),
        "claim.reading.pass": (
            "It fits the {time} time through, {bars}: the two times are not alike."
        ),
        "claim.reading.time.1": "first",
        "claim.reading.time.2": "second",
        "claim.reading.time.3": "third",
        "claim.reading.time.4": "fourth",
    }
)

_NAMED = 4  # times through that have a word

#: First and last bar index of what stands under one bracket.
Bracket = tuple[int, int]


def endings(table: ScoreTable) -> tuple[tuple[Bracket, ...], ...]:
    """The sets of endings, each bracket after the other as printed; built once."""
    return memo(table, "_endings", lambda: _endings(table))


def _endings(table: ScoreTable) -> tuple[tuple[Bracket, ...], ...]:
    sets: list[list[Bracket]] = []
    under: Bar | None = None  # the bar before, if it stands under a bracket
    for bar in table.bars:
        if not bar.ending:
            under = None
            continue
        beside = under is not None and under.movement == bar.movement
        if beside and under is not None and under.ending == bar.ending:
            sets[-1][-1] = (sets[-1][-1][0], bar.index)
        elif beside and under is not None and _number(bar) > _number(under):
            sets[-1].append((bar.index, bar.index))
        else:  # numbers that begin again are another repeat, though no bar stands between
            sets.append([(bar.index, bar.index)])
        under = bar
    return tuple(tuple(found) for found in sets if len(found) > 1)


def _number(bar: Bar) -> int:
    """The first number of its bracket."""
    digits = "".join(c if c.isdigit() else " " for c in bar.ending).split()
    return int(digits[0]) if digits else 0


def _set_of(table: ScoreTable, bar: int) -> tuple[tuple[Bracket, ...], int] | None:
    """The set of endings a bar stands in, and which of them."""
    for found in endings(table):
        for n, (first, last) in enumerate(found):
            if first <= bar <= last:
                return found, n
    return None


def other_ending(bound: Bound, scene: Scene) -> Iterator[Variant]:
    """All claimed bars under one bracket: the bars at the same place under another."""
    here = _set_of(scene.table, bound.bars.first)
    if here is None:
        return
    brackets, n = here
    if bound.bars.last > brackets[n][1]:
        return
    for other, (first, last) in enumerate(brackets):
        by = first - brackets[n][0]
        if other == n or bound.bars.last + by > last:
            continue
        moved = bound.moved(scene.table, by)
        if moved is not None:
            where = speech.bars(scene.table, moved.bars.first, moved.bars.last)
            yield Variant(moved, scene, say=(speech.say("claim.reading.ending", bars=where),))


#: Kinds that hold bar by bar, so that a passage can be asked about in two stretches. An occurrence
#: (a handover, an entry) lies in one bar, whose other ending is asked about by itself; a pedal, a
#: curve or a share is one thing from end to end.
THROUGHOUT = frozenset(
    {"playing", "doubling", "parallel", "reinforcement", "role", "chord", "sides-with", "key",
     "marking"}
)  # fmt: skip


def other_time(bound: Bound, scene: Scene) -> Iterator[Variant]:
    """The passage as it is played another time: it runs into a bracket, or over several of them."""
    fields, table, bars = bound.claim.fields, scene.table, bound.bars
    whole = bars.start == table.bars[bars.first].start and bars.end == table.bars[bars.last].end
    occurs = fields.get("unique") or fields.get("how") == "arrives"
    if bound.claim.kind not in THROUGHOUT or occurs or not whole:
        return
    for number, pieces in _times(bound, table):
        if pieces == [(bars.first, bars.last)] or not 1 <= number <= _NAMED:
            continue
        where = [speech.bars(table, *piece) for piece in pieces]
        time = speech.phrase(f"claim.reading.time.{number}")
        longest = max(pieces, key=lambda piece: piece[1] - piece[0])
        say = speech.say("claim.reading.pass", time=time, bars=where)
        yield Variant(bound.at(table, *longest), scene, _in_pieces(pieces), (say,))


def _times(bound: Bound, table: ScoreTable) -> Iterator[tuple[int, list[tuple[int, int]]]]:
    """For each time through: its number, and the bars then played as printed stretches."""
    low, high = bound.bars.first, bound.bars.last
    reached = [found for found in endings(table) if low < found[0][0] <= high]
    if len(reached) != 1:
        return
    brackets = reached[0]
    lead = (low, brackets[0][0] - 1)
    for n, (first, last) in enumerate(brackets):
        if high > brackets[-1][1]:  # only after the last ending the music goes on
            if n < len(brackets) - 1:
                continue
            end = high
        else:
            own = next(b for b in brackets if b[0] <= high <= b[1])
            end = first + high - own[0]
            if end > last:
                continue
        pieces = [(low, end)] if n == 0 else [lead, (first, end)]
        yield min(table.bars[first].passes, default=0), pieces


def _in_pieces(pieces: Sequence[tuple[int, int]]) -> Rule:
    """Right where the kind's own rule says so of every stretch."""

    def judge(scene: Scene, bound: Bound) -> Judgement:
        from analysis.engine.claims.registry import KINDS

        rule = KINDS[bound.claim.kind].judge
        assert rule is not None
        found: list[Judgement] = []
        for piece in pieces:
            found.append(rule(scene, bound.at(scene.table, *piece)))
            if not found[-1].all_right:
                return found[-1]
        shown = tuple(dict.fromkeys(e for one in found for e in one.evidence))
        return found[0].but(evidence=shown, confidence=min(one.confidence for one in found))

    return judge
