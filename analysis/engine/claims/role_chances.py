"""How likely a class of work is in a part's bars: what speaks against a claimed role.

Only the classes have probabilities that were measured against answers (docs/risk.md); the words
within a class follow from register and rhythm. That a part is no bass can also be counted: it lies
far above the lowest.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from analysis.engine.analyses.role_model import CLASSES, estimate
from analysis.engine.analyses.role_words import CLASS_OF
from analysis.engine.claims.base import Bars
from analysis.engine.model import Movement, ScoreTable

#: How sure at most that a part has no work of rhythm or harmony: what annotators call so differs
#: from work to work. With works left out such denials were right in half of the cases only in one
#: movement, those of a tune nearly always (docs/risk.md).
CONVENTION = 0.85
#: Log odds of an absent class count so much: on works left out the surest were not so sure. Chosen
#: with their answers in view: of S3 one work alone would have kept .85, the other asks for less.
SHRUNK = 0.7


def classes_of(word: str) -> frozenset[str]:
    """The classes a word may stand for: figuration is rhythm or harmony."""
    if word == "figuration":
        return frozenset({"rhythm", "harmony"})
    return frozenset({CLASS_OF[word]}) if word in CLASS_OF else frozenset()


def same_class(one: str, other: str) -> bool:
    return bool(classes_of(one) & classes_of(other))


def class_chance(
    table: ScoreTable, movement: Movement, lines: Sequence[int], bars: Bars, word: str
) -> float:
    """Mean probability over the bars that one of the lines does work of the word's class.

    0 where none of them sounds; 1 for a word without a class, which nothing measured speaks of.
    """
    wanted = [CLASSES.index(name) for name in classes_of(word)]
    if not wanted:
        return 1.0
    first = bars.first - movement.first_bar
    chance = estimate(table, movement).probability[list(lines), first : first + len(bars)]
    return float(chance[..., wanted].max(axis=(0, 2), initial=0.0).mean()) if chance.size else 0.0


#: A part that stays above D4 and more than an octave above the lowest note of the bar is no bass
#: there (common practice); how sure that is.
HIGH, ABOVE = 62, 12
COUNTED = 0.97


def absence(
    table: ScoreTable, movement: Movement, lines: Sequence[int], bars: Bars, word: str
) -> float:
    """How sure it is that the lines have no work of the word's class in the bars."""
    there = class_chance(table, movement, lines, bars, word)
    if there <= 0.0 or there >= 1.0:
        return 1.0 - there
    missing: float = 1 / (1 + (there / (1 - there)) ** SHRUNK)
    return missing if same_class(word, "melody") else min(missing, CONVENTION)


def no_bass(table: ScoreTable, lines: Sequence[int], bars: Bars) -> bool:
    """Whether the lines lie far above the bass in every one of the bars in which they sound."""
    rows = table.sounding
    rows = rows[(rows["pitch"] >= 0) & (rows["onset"] < bars.end)]
    rows = rows[rows["onset"] + rows["duration"] > bars.start]
    own = np.isin(rows["line"], list(lines))
    if not own.any():
        return False
    for bar in range(bars.first, bars.last + 1):
        start, end = table.bars[bar].start, table.bars[bar].end
        here = (rows["onset"] < end) & (rows["onset"] + rows["duration"] > start)
        mine = rows["pitch"][here & own]
        if not len(mine):
            continue
        if mine.min() < HIGH or mine.min() - rows["pitch"][here].min() <= ABOVE:
            return False
    return True
