"""The facts behind claims of sequences, with the tutor's word in them, and their words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from analysis.engine import places
from analysis.engine.analyses import sequences
from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.melodic import interval_words, stream
from analysis.engine.analyses.sequence_facts import Restated, restated
from analysis.engine.claims import moments, speech
from analysis.engine.claims.base import Bars, Scene
from analysis.engine.model import Movement, ScoreTable, Sentence
from analysis.engine.names import Unit
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "claim.sequence.is": (
            "{part} states a model of {length} {count} times in {bars}, each time {interval} {way}."
        ),
        "claim.sequence.is.unsure": (
            "I read a model of {length}, stated {count} times by {part} in {bars}, each time "
            "{interval} {way}, but not surely."
        ),
        "claim.sequence.chain": "{part} goes in {pattern} in {bars}: {count} moves in a row.",
        "claim.sequence.chain.unsure": (
            "I read {pattern} of {part} in {bars}, {count} moves in a row, but not surely."
        ),
        "claim.sequence.breaks": "It breaks off at {where}.",
        "claim.sequence.ends": "The line rests or ends at {where}.",
        "claim.sequence.tonal": "The steps are kept, not the semitones (a tonal sequence).",
    }
)


@dataclass(frozen=True)
class Stated:
    """A sequence or chain as claims are held against it; ticks. `whole`: enough statements."""

    line: int
    statements: int
    step: int | None
    period: int
    start: int
    end: int
    breaks: int = -1
    chain: tuple[int, ...] = ()
    real: bool = True
    confidence: float = 1.0
    whole: bool = True
    fact: Restated | None = None
    tutor: Sentence | None = None

    def bars(self, table: ScoreTable) -> tuple[int, int]:
        first = places.bar_at(table, self.start)
        return first, max(first, places.bar_at(table, max(self.end - 1, self.start)))

    def within(self, bars: Bars) -> int:
        """Statements that lie, by their middle, between the claimed beats."""
        middles = (self.start + k * self.period + self.period // 2 for k in range(self.statements))
        return sum(bars.start <= m < bars.end for m in middles)


def stated(scene: Scene, lines: Iterable[int], movement: Movement) -> list[Stated]:
    """All that the lines restate in a movement, whole sequences first; two statements after."""
    table = scene.table
    own = set(lines)
    found: list[Stated] = []
    for whole in (True, False):
        for one in _found(table, scene.settings, whole=whole):
            if one.line not in own or table.bars[places.bar_at(table, one.start)].movement != (
                movement.index
            ):
                continue
            if not whole and any(f.line == one.line and _meet(f, one) for f in found):
                continue
            found.append(_of(table, one, whole=whole))
    return _with_tutor(scene, found, own)


def _found(table: ScoreTable, settings: Settings, *, whole: bool) -> list[Restated]:
    least = max(2, settings.sequence_statements) if whole else 2
    return memo(table, f"_restated-{least}", lambda: restated(table, least))


def _of(table: ScoreTable, one: Restated, *, whole: bool) -> Stated:
    return Stated(
        line=one.line,
        statements=one.statements,
        step=one.step,
        period=one.period,
        start=one.start,
        end=max(one.end, one.start + 1),
        breaks=one.breaks,
        chain=one.chain,
        real=one.real,
        confidence=sequences.sure(table, one),
        whole=whole or bool(one.chain),
        fact=one,
    )


def _meet(a: Stated, b: Restated) -> bool:
    return a.start < b.end and b.start < a.end


def _with_tutor(scene: Scene, found: list[Stated], own: set[int]) -> list[Stated]:
    bars = scene.table.bars
    for word in scene.tutor_on("sequence"):
        lines = sorted(own & set(word.lines))
        if not lines:
            continue
        start, end = bars[word.first].start, bars[word.last].end
        if word.says != "added":
            found = [f for f in found if f.line not in lines or f.end <= start or f.start >= end]
        if word.says != "absent" and word.value is not None:
            count = int(word.value.get("statements") or scene.settings.sequence_statements)
            chain = tuple(word.value.get("chain") or ())
            step = word.value.get("step")
            found += [
                Stated(line, count, step, (end - start) // count, start, end, chain=chain,
                       tutor=word.sentence)
                for line in lines
            ]  # fmt: skip
    return found


def say_stated(table: ScoreTable, unit: Unit, fact: Stated) -> list[Sentence]:
    """What is restated, how often and at which interval; where it breaks off."""
    bars = speech.bars(table, *fact.bars(table))
    bar = table.bars[places.bar_at(table, fact.start)]
    says = []
    if fact.chain and fact.fact:
        pattern = sequences.pattern_words(fact.fact)
        count = len(fact.chain)
        says.append(
            speech.say(
                "claim.sequence.chain", part=unit.label, pattern=pattern, bars=bars, count=count
            )
        )
    elif fact.step is not None:
        says.append(
            speech.say(
                "claim.sequence.is",
                part=unit.label,
                length=sequences.length_words(bar, fact.period),
                count=speech.number(fact.statements),
                bars=bars,
                interval=interval_words(fact.step),
                way="higher" if fact.step > 0 else "lower",
            )
        )
    if fact.tutor:
        says.append(fact.tutor)
    return says


def say_break(table: ScoreTable, fact: Stated) -> Sentence:
    if fact.breaks >= 0:
        return speech.say("claim.sequence.breaks", where=moments.words(table, fact.breaks))
    return speech.say("claim.sequence.ends", where=moments.words(table, fact.end))


def likeness(
    table: ScoreTable, lines: Iterable[int], bars: Bars, statements: int | None = None
) -> float:
    """How alike the line's pieces are in rhythm and direction: 0..1.

    Of whatever length a piece may have, or such that about so many `statements` fill the bars.

    The share of attacks that neighbouring pieces have in common, at the same time and with a move
    the same way (Dice), of the most alike length of so many beats. What is not alike so is no
    model restated, however freely.
    """
    s = stream(table)
    beat, length = table.bars[bars.first].beat_ticks, bars.end - bars.start
    shortest = length // (statements + 1) if statements else beat
    longest = length // max(statements - 1, 1) if statements else length // 2
    best = 0.0
    for line in lines:
        here = s.of(line, bars.start, bars.end)
        onsets, ways = s.onset[here] - bars.start, np.sign(s.move[here])
        if not len(onsets):
            continue
        for period in range(beat, longest + 1, beat):
            if period < shortest:
                continue
            keys = 3 * (onsets % period) + ways
            pieces = [keys[onsets // period == k] for k in range(int(onsets.max()) // period + 1)]
            alike = [
                2 * len(np.intersect1d(a, b)) / (len(a) + len(b))
                for a, b in pairwise(pieces)
                if len(a) + len(b) > 2
            ]
            if alike:
                best = max(best, sum(alike) / len(alike))
    return best
