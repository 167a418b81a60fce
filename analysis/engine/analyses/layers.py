"""Layers: which lines do one job together in a stretch of bars.

A layer is the set of lines with one job (the words of `role_words`) in most of the bars. Lines
whose job is not clear belong to none. Reductions and textures are made from layers.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np

from analysis.engine.analyses import role_melody, role_words
from analysis.engine.analyses.attacks import IntArray, memo
from analysis.engine.analyses.role_melody import main_lines
from analysis.engine.analyses.role_model import CLASSES, Estimate, estimate
from analysis.engine.analyses.role_words import NONE, WORDS
from analysis.engine.model import Movement, ScoreTable

#: how layers follow each other when they are told
ORDER = (
    "melody", "countermelody", "answer", "figuration", "moving harmony", "held harmony", "pulse",
    "punctuation", "pedal", "bass line",
)  # fmt: skip
#: share of the bars in which a line sounds that must have the job; common practice
MOST_BARS = 0.5
#: share of the stretch in which a line must sound to belong to a layer of it; common practice
PRESENT = 0.4


@dataclass(frozen=True, slots=True)
class Layer:
    """Lines with one job over bars first..last (indices of the score, inclusive).

    `lead` is the line that stands for the others: of a melody the main line, else the first.
    `confidence` is the mean probability of the job's class over its lines and bars.
    """

    role: str
    lines: tuple[int, ...]
    first: int
    last: int
    lead: int
    confidence: float


def jobs(table: ScoreTable, movement: Movement) -> tuple[IntArray, Estimate]:
    """The likeliest named job of every cell, as index into `role_words.WORDS`; `NONE` if unclear.

    Returns
    -------
    ndarray, shape (lines, bars)
    Estimate
    """

    def build() -> tuple[IntArray, Estimate]:
        found = estimate(table, movement)
        if not found.named.size:
            return np.full(found.named.shape[:2], NONE, dtype=np.int64), found
        chosen = role_words.words(found)
        p = np.where(chosen != NONE, found.probability, -1.0)
        best = p.argmax(axis=2)
        word = np.take_along_axis(chosen, best[..., None], axis=2)[..., 0]
        return word.astype(np.int64), found

    return memo(table, f"_jobs_{movement.index}", build)


def layers(table: ScoreTable, movement: Movement, first: int, last: int) -> list[Layer]:
    """The layers of bars first..last (indices of the score) of one movement, in `ORDER`."""
    word, found = jobs(table, movement)
    low, high = first - movement.first_bar, last - movement.first_bar + 1
    by_role: dict[str, list[tuple[int, float]]] = {}
    for line in range(word.shape[0]):
        there = found.measured.there[line, low:high]
        counts = Counter(word[line, low:high][there].tolist())
        counts.pop(NONE, None)
        if not counts or there.sum() < PRESENT * (high - low):
            continue
        index, bars = max(counts.items(), key=lambda kv: (kv[1], -kv[0]))
        if bars < MOST_BARS * there.sum():
            continue
        role = WORDS[index]
        p = found.probability[line, low:high][there].max(axis=1).mean()
        by_role.setdefault(role, []).append((line, float(p)))
    leads = Counter(k for k in leading_lines(table, movement)[low:high].tolist() if k >= 0)
    made = []
    for role in ORDER:
        members = by_role.get(role, [])
        if not members:
            continue
        lines = tuple(line for line, _ in members)
        lead = max(lines, key=lambda k: leads[k]) if role == "melody" else lines[0]
        sure = sum(p for _, p in members) / len(members)
        made.append(Layer(role, lines, first, last, lead, sure))
    return made


def leading_lines(table: ScoreTable, movement: Movement) -> IntArray:
    """The main line of each bar of a movement, -1 where nothing sounds."""
    key = f"_leading_{movement.index}"
    return memo(table, key, lambda: main_lines(jobs(table, movement)[1]))


def melody(found: Estimate) -> tuple[IntArray, IntArray]:
    """The main line of each bar (-1: none), and the likeliest line beside it that is not with it.

    Returns
    -------
    leading, second : int64, shape (bars,)
    """
    leading = main_lines(found)
    together = role_melody.with_leader(found)
    p = np.where(together | ~found.measured.there, -1.0, found.probability[..., _MELODY])
    second = p.argmax(axis=0) if len(p) else np.zeros(0, dtype=np.int64)
    none = p.max(axis=0, initial=-1.0) < 0
    return leading, np.where(none, -1, second).astype(np.int64)


_MELODY = CLASSES.index("melody")
