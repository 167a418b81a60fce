"""Phrases of each line, and the figure each begins with.

A phrase is what stands between two rests of a beat or more: notes with shorter rests between
them, such as staccato, belong together. All times in ticks; pitches are the highest note of each
attack, sounding. The limits are common practice, without a printed source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.engine.analyses.attacks import IntArray, attacks, memo
from analysis.engine.analyses.speech import bar_at
from analysis.engine.model import Bar, NoteArray, ScoreTable

#: fewest notes of a figure that can be known again, and most that are compared
FIGURE_LEAST, FIGURE_MOST = 4, 8
#: fewest different pitches of such a figure: a repeated note or a shake is no figure
FIGURE_PITCHES = 3
#: fewest notes of one in even values, which is sooner alike by chance
FIGURE_EVEN = 5
#: semitones by which one move of a figure may differ and still answer: a tonal answer
TONAL = 2


@dataclass(frozen=True, slots=True, eq=False)
class Phrase:
    """Attacks of one line from rest to rest.

    Attributes
    ----------
    line : int
    start, end : int
        Ticks, from the first attack to the end of the last sound (exclusive).
    onset, pitch : int64 arrays
        One entry an attack; the highest sounding pitch of each.
    before : int
        Ticks of rest before it, from the start of the movement for the first.
    head : tuple of (int, int)
        Ticks and semitones to the next attack, of the first `FIGURE_MOST` notes.
    first, last : int
        Bar indices of its first attack and of the end of its last sound.
    """

    line: int
    start: int
    end: int
    onset: IntArray
    pitch: IntArray
    before: int
    head: tuple[tuple[int, int], ...]
    first: int
    last: int

    def __len__(self) -> int:
        return len(self.onset)


def felt_beat(bar: Bar) -> int:
    """Ticks of a beat as it is counted: dotted in 6/8, 9/8, 12/8."""
    if bar.beat_type >= 8 and bar.beats % 3 == 0 and bar.beats > 3:
        return 3 * bar.beat_ticks
    return bar.beat_ticks


def felt_beats(table: ScoreTable) -> IntArray:
    """`felt_beat` of every bar."""

    def build() -> IntArray:
        return np.array([felt_beat(bar) for bar in table.bars], dtype=np.int64)

    return memo(table, "_felt_beats", build)


def phrases(table: ScoreTable) -> tuple[tuple[Phrase, ...], ...]:
    """The phrases of each line, by start; built once per table."""
    return memo(table, "_phrases", lambda: tuple(_of_line(table, r) for r in table.by_line))


def _of_line(table: ScoreTable, rows: NoteArray) -> tuple[Phrase, ...]:
    if not len(rows):
        return ()
    first = np.r_[True, np.diff(rows["onset"]) > 0]
    at = np.flatnonzero(first)
    onset = rows["onset"][at].astype(np.int64)
    pitch = np.maximum.reduceat(rows["pitch"].astype(np.int64), at)
    until = np.maximum.accumulate(rows["onset"] + rows["duration"])
    end = until[np.r_[at[1:] - 1, len(rows) - 1]].astype(np.int64)
    starts = table.bar_starts()
    bar = np.clip(np.searchsorted(starts, onset, side="right") - 1, 0, None)
    movement = np.array([b.movement for b in table.bars], dtype=np.int64)[bar]
    begins = np.array([table.bars[m.first_bar].start for m in table.movements], dtype=np.int64)
    rest = onset - np.r_[begins[movement[0]], end[:-1]]
    turned = np.r_[True, movement[1:] != movement[:-1]]
    rest = np.where(turned, onset - begins[movement], rest)
    cut = turned | (rest >= felt_beats(table)[bar])
    heads = np.flatnonzero(cut)
    tails = np.r_[heads[1:], len(onset)]
    line = int(rows["line"][0])
    closes = np.clip(np.searchsorted(starts, end[tails - 1] - 1, side="right") - 1, 0, None)
    moves = list(zip(np.diff(onset).tolist(), np.diff(pitch).tolist(), strict=True))
    return tuple(
        Phrase(
            line,
            int(onset[i]),
            int(end[j - 1]),
            onset[i:j],
            pitch[i:j],
            int(rest[i]),
            tuple(moves[i : min(j, i + FIGURE_MOST) - 1]),
            first_bar,
            last_bar,
        )
        for i, j, first_bar, last_bar in zip(
            heads.tolist(), tails.tolist(), bar[heads].tolist(), closes.tolist(), strict=True
        )
    )


def same_figure(a: Phrase, b: Phrase) -> int:
    """How many notes `b` begins like `a`, by rhythm and contour; 0 for no figure of its own.

    The gaps between attacks are the same and every move goes the same way, by nearly as much
    (`TONAL`): as a phrase is answered, imitated or handed on at any pitch.
    """
    if min(len(a), len(b)) < FIGURE_LEAST:
        return 0
    count = 1
    for (gap, move), (other_gap, other) in zip(a.head, b.head, strict=False):
        if gap != other_gap or move * other < 0 or (move == 0) != (other == 0):
            break
        if abs(move - other) > TONAL:
            break
        count += 1
    even = len({gap for gap, _ in b.head[: count - 1]}) == 1
    if count < (FIGURE_EVEN if even else FIGURE_LEAST):
        return 0
    return count if len(np.unique(b.pitch[:count])) >= FIGURE_PITCHES else 0


def starting(table: ScoreTable) -> tuple[IntArray, tuple[Phrase, ...]]:
    """All phrases of all lines by start, and their starts."""

    def build() -> tuple[IntArray, tuple[Phrase, ...]]:
        every = sorted(
            (p for line in phrases(table) for p in line), key=lambda p: (p.start, p.line)
        )
        return np.array([p.start for p in every], dtype=np.int64), tuple(every)

    return memo(table, "_phrases_by_start", build)


def companions(table: ScoreTable, phrase: Phrase) -> list[int]:
    """Lines that begin with the same notes at the same time, at any octave; `phrase`'s too."""
    starts, every = starting(table)
    i, j = np.searchsorted(starts, (phrase.start, phrase.start + 1))
    count = min(len(phrase), FIGURE_MOST)
    shape = (phrase.onset[:count].tolist(), (phrase.pitch[:count] % 12).tolist())
    return [
        p.line
        for p in every[i:j]
        if (p.onset[:count].tolist(), (p.pitch[:count] % 12).tolist()) == shape
    ]


def notes_of(table: ScoreTable, phrase: Phrase, start: int, end: int) -> list[str]:
    """Ids of the phrase's notes attacked in ``start <= t < end``; its last one at the least."""
    rows = attacks(table).between(phrase.line, max(start, phrase.start), min(end, phrase.end))
    if not len(rows):
        rows = attacks(table).notes_at(phrase.line, phrase.onset[-1:])
    return table.note_ids(rows)


def bar_of(table: ScoreTable, tick: int) -> Bar:
    return table.bars[bar_at(table, tick)]
