"""Handovers: a line passes from one part to another.

Two ways show it, and both may show the same one:

* *the tune*: the main line of `role_melody` changes part, and the end of a phrase of the one lies
  within a bar of the entry of the other;
* *the figure*: a phrase begins like the one that has just ended in another part, by rhythm and
  contour (`phrases.same_figure`), within a beat: an answer or an echo.

Parts that go together (same notes at any octave) are told together; none of them is handed to by
one of the others. The gap or overlap is at most a beat (surer) or a bar: trade facts 6.2, common
practice without a printed source. The share of certainty that each sign gives is judged, not
measured.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from analysis.engine.analyses import role_melody
from analysis.engine.analyses.attacks import NONE, attacks, memo
from analysis.engine.analyses.phrases import (
    Phrase,
    bar_of,
    companions,
    felt_beat,
    phrases,
    same_figure,
    starting,
)
from analysis.engine.analyses.role_model import CLASSES, Estimate, estimate
from analysis.engine.analyses.speech import bar_at
from analysis.engine.model import Movement, ScoreTable
from analysis.engine.settings import Settings

_MELODY = CLASSES.index("melody")
#: bars before and after the change over which the melody must be likely
AROUND = 3
#: certainty that the seam gives: within a beat, within a bar, the giver goes on beneath
CLOSE, LOOSE, BENEATH = 1.0, 0.85, 0.8
#: certainty of an answer with the fewest alike notes, and what each further one adds
ANSWER, MORE, MOST = 0.78, 0.04, 0.95
#: below this nothing is said
LEAST = 0.5
#: notes on either side that a third line must share, and the share, to have the whole line
SEAM_NOTES, SAME = 4, 0.75


@dataclass(frozen=True, slots=True)
class Handover:
    """The line goes from the lines `giving` to the lines `taking` (the leading one first).

    `at` is the entry of the taker, in ticks; `gap` ticks of silence between, negative where both
    sound. `alike` counts the notes with which the taker begins like the giver, 0 if it does not.
    `beneath`: the giver goes on with something else.
    """

    giving: tuple[int, ...]
    taking: tuple[int, ...]
    at: int
    end: int
    gap: int
    alike: int
    beneath: bool
    left: Phrase
    right: Phrase
    confidence: float


def handovers(table: ScoreTable, settings: Settings) -> tuple[Handover, ...]:
    """All handovers of a table, by time; each said once."""

    def build() -> tuple[Handover, ...]:
        found = _choirs(list(_answers(table, settings)))
        for movement in table.movements:
            found += _tunes(table, movement, settings)
        return tuple(_once(table, [h for h in found if h.confidence >= LEAST]))

    return memo(table, f"_handovers-{hash(settings)}", build)


# --- the tune -----------------------------------------------------------------


def _tunes(table: ScoreTable, movement: Movement, settings: Settings) -> Iterator[Handover]:
    """Where the main line of a movement changes part."""
    found = estimate(table, movement)
    if not found.named.size:
        return
    leading = role_melody.main_lines(found)
    together = role_melody.with_leader(found)
    for bar in range(1, len(leading)):
        giver, taker = int(leading[bar - 1]), int(leading[bar])
        if min(giver, taker) < 0 or giver == taker:
            continue
        if together[taker, bar - 1] or together[giver, bar]:
            continue  # both have it on one side of the change: joined or left, not handed on
        sure = _sure(found, giver, bar, -1) * _sure(found, taker, bar, 1)
        seam = _seam(table, movement.first_bar + bar, giver, taker, found, bar, settings)
        if seam is None:
            continue
        left, right, beneath = seam
        gap = right.start - left.end
        near = abs(gap) <= settings.handover_beats * felt_beat(bar_of(table, right.start))
        grade = BENEATH if beneath else CLOSE if near else LOOSE
        giving = [giver, *(k for k in np.flatnonzero(together[:, bar - 1]).tolist() if k != giver)]
        taking = [taker, *(k for k in np.flatnonzero(together[:, bar]).tolist() if k != taker)]
        if set(giving) & set(taking) or _has_both(table, left, right):
            continue
        yield Handover(
            giving=tuple(giving),
            taking=tuple(taking),
            at=right.start,
            end=max(right.start, left.end),
            gap=0 if beneath else gap,
            alike=same_figure(left, right),
            beneath=beneath,
            left=left,
            right=right,
            confidence=float(np.sqrt(sure) * grade),
        )


def _sure(found: Estimate, line: int, bar: int, way: int) -> float:
    """Mean probability that `line` has the melody in the bars before (-1) or from `bar` on (1)."""
    bars = found.probability.shape[1]
    first, last = (max(0, bar - AROUND), bar) if way < 0 else (bar, min(bars, bar + AROUND))
    there = found.measured.there[line, first:last]
    p = found.probability[line, first:last, _MELODY]
    return float(p[there].mean()) if there.any() else 0.0


def _seam(
    table: ScoreTable,
    bar: int,
    giver: int,
    taker: int,
    found: Estimate,
    local: int,
    settings: Settings,
) -> tuple[Phrase, Phrase, bool] | None:
    """The phrase that ends and the phrase that begins around `bar`, nearest to each other."""
    low, high = table.bars[bar - 1].start, table.bars[bar].end
    reach = settings.handover_bars * table.bars[bar].length
    enter = [p for p in phrases(table)[taker] if low < p.start < high]
    ends = [p for p in phrases(table)[giver] if low < p.end <= high]
    pairs = [(abs(q.start - p.end), p, q) for p in ends for q in enter]
    close = [pair for pair in pairs if pair[0] <= reach and pair[1].start < pair[2].start]
    if close:
        _, left, right = min(close, key=lambda pair: (pair[0], pair[2].start))
        return left, right, False
    here = [p for p in phrases(table)[giver] if p.start < low + reach and p.end > high]
    turned = not found.named[giver, local, _MELODY]
    if here and enter and turned:
        return here[0], min(enter, key=lambda p: abs(p.start - table.bars[bar].start)), True
    return None


# --- the figure ---------------------------------------------------------------


def _answers(table: ScoreTable, settings: Settings) -> Iterator[Handover]:
    """Phrases that begin like one that has just ended elsewhere."""
    starts, every = starting(table)
    for line in phrases(table):
        for left in line:
            if len(left) < 2:
                continue
            beat = settings.handover_beats * felt_beat(table.bars[left.last])
            i, j = np.searchsorted(starts, (left.end - beat, left.end + beat + 1))
            for right in every[i:j]:
                if right.line == left.line or right.start <= int(left.onset[-1]) - 1:
                    continue
                alike = same_figure(left, right)
                if alike and not _one_movement(table, left, right):
                    continue
                if alike >= min(len(left), len(right), 6):
                    yield _answer(table, left, right, alike)


def _one_movement(table: ScoreTable, left: Phrase, right: Phrase) -> bool:
    return table.bars[left.first].movement == table.bars[right.first].movement


def _answer(table: ScoreTable, left: Phrase, right: Phrase, alike: int) -> Handover:
    giving, taking = companions(table, left), companions(table, right)
    common = set(giving) & set(taking)
    unsaid = bool(common) or _has_both(table, left, right)
    return Handover(
        giving=tuple(_first(left.line, [k for k in giving if k not in common])),
        taking=tuple(_first(right.line, [k for k in taking if k not in common])),
        at=right.start,
        end=max(right.start, left.end),
        gap=right.start - left.end,
        alike=alike,
        beneath=False,
        left=left,
        right=right,
        confidence=0.0 if unsaid else min(MOST, ANSWER + MORE * (alike - 4)),
    )


def _has_both(table: ScoreTable, left: Phrase, right: Phrase) -> bool:
    """Whether a third line plays the end of the one and the beginning of the other.

    Then the line stays where it is, and the two only leave and join it.
    """
    grid = attacks(table)
    onset = np.r_[left.onset[-SEAM_NOTES:], right.onset[:SEAM_NOTES]]
    pitch = np.r_[left.pitch[-SEAM_NOTES:], right.pitch[:SEAM_NOTES]]
    there = grid.top[:, np.searchsorted(grid.onset, onset)]
    same = (there != NONE) & ((there - pitch) % 12 == 0)
    same[[left.line, right.line]] = False
    count = min(len(left), SEAM_NOTES)
    halves = same[:, :count].mean(axis=1), same[:, count:].mean(axis=1)
    return bool((np.minimum(*halves) >= SAME).any())


def _choirs(found: list[Handover]) -> list[Handover]:
    """Answers of several voices at one seam as one: the highest giver and taker lead."""
    seams: dict[tuple[int, int], list[Handover]] = {}
    for one in found:
        if one.confidence > 0:
            seams.setdefault((one.at, one.left.end), []).append(one)
    joined = []
    for at_once in seams.values():
        lead = max(at_once, key=lambda h: (h.right.pitch[0], h.left.pitch[0], h.alike))
        giving = tuple(dict.fromkeys(k for h in (lead, *at_once) for k in h.giving))
        taking = tuple(dict.fromkeys(k for h in (lead, *at_once) for k in h.taking))
        if not set(giving) & set(taking):
            joined.append(replace(lead, giving=giving, taking=taking))
        else:
            joined.append(lead)
    return joined


def _first(line: int, others: list[int]) -> list[int]:
    return [line, *(k for k in others if k != line)]


# --- once ---------------------------------------------------------------------


def _once(table: ScoreTable, found: list[Handover]) -> list[Handover]:
    """One handover for one seam: those within a bar with the same giver or taker join."""
    kept: list[Handover] = []
    for new in sorted(found, key=lambda h: (h.at, -h.confidence, h.giving, h.taking)):
        reach = table.bars[bar_at(table, new.at)].length
        for k in range(len(kept) - 1, max(-1, len(kept) - 9), -1):
            old = kept[k]
            near = new.at - old.at < reach
            shared = set(old.giving) & set(new.giving) or set(old.taking) & set(new.taking)
            if near and shared and not set(old.taking) & set(new.giving):
                kept[k] = _joined(old, new)
                break
        else:
            kept.append(new)
    return kept


def _joined(a: Handover, b: Handover) -> Handover:
    """The surer of two, with the companions of both at the same seam."""
    best, other = (a, b) if a.confidence >= b.confidence else (b, a)
    if best.at != other.at:
        return best
    giving = tuple(dict.fromkeys((*best.giving, *other.giving)))
    taking = tuple(k for k in dict.fromkeys((*best.taking, *other.taking)) if k not in giving)
    both = 1 - (1 - best.confidence) * (1 - other.confidence) if best.alike != other.alike else 0.0
    sure = min(MOST, max(best.confidence, both))
    return replace(best, giving=giving, taking=taking or best.taking, confidence=sure)
