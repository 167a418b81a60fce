"""What each line does, as spans: melody, bass line, held harmony ... or "unclear".

`role_features` measures, `role_model` turns measures into probabilities,
`role_words` finds the trade's word, this module makes findings of it. A line
may have several jobs at once; where none is likely enough the finding says
"unclear", which is an answer.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses import role_words
from analysis.engine.analyses.role_model import CLASSES, Estimate, estimate
from analysis.engine.analyses.role_words import NONE, SURE, WORDS
from analysis.engine.analyses.speech import finding, names, part_value, place
from analysis.engine.model import Evidence, Finding, Movement, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "role.melody": "{line} has the melody, {place}.",
        "role.countermelody": "{line} has a second tune of its own, {place}.",
        "role.answer": "{line} answers in the gaps of the melody, {place}.",
        "role.bass line": "{line} carries the bass, {place}.",
        "role.held harmony": "{line} holds the harmony, {place}.",
        "role.moving harmony": "{line} moves through the harmony, {place}.",
        "role.pulse": "{line} keeps the pulse, {place}.",
        "role.pedal": "{line} has a pedal note, {place}.",
        "role.punctuation": "{line} punctuates, {place}.",
        "role.figuration": "{line} has figuration, {place}.",
        "role.unclear": "What {line} does is not clear, {place}.",
    }
)


#: A bass of few notes punctuates too, but is the bass first: by so much "punctuation" is less
#: sure there (judgement, not measured).
_BASS_FIRST = 0.1


@dataclass(frozen=True, slots=True)
class Span:
    """A run of bars in which a line has one job."""

    line: int
    role: str
    first: int  # bars from the start of the movement
    last: int  # inclusive
    confidence: float


def find_roles(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "role", one per line and span.

    Parameters
    ----------
    table : ScoreTable
    settings : Settings
        None of them bears on the estimate; `min_confidence` is applied to answers.

    Returns
    -------
    list of Finding
        ``value`` is ``{"kind": "role", "parts": [PART], "role": word}``. The
        confidence is the mean probability over the span's bars that the class
        of the word is right, times how far the word follows from its class
        (`role_words.SURE`), less for the punctuation of a bass line; for "unclear"
        that no class is.
    """
    notes = _Notes(table)
    return [
        _finding(table, movement, span, notes)
        for movement in table.movements
        for span in spans(estimate(table, movement))
    ]


def spans(found: Estimate) -> list[Span]:
    """The spans of one movement, by line, first bar and word."""
    if not found.named.size:
        return []
    chosen = role_words.words(found)
    bass = (chosen == WORDS.index("bass line")).any(axis=2)
    out: set[Span] = set()
    for k in range(len(CLASSES)):
        for line, first, last in _runs(chosen[..., k]):
            role = WORDS[chosen[line, first, k]]
            p = float(found.probability[line, first : last + 1, k].mean()) * SURE[role]
            if role == "punctuation":
                p *= 1 - _BASS_FIRST * float(bass[line, first : last + 1].mean())
            out.add(Span(line, role, first, last, p))
    unclear = found.measured.there & ~found.named.any(axis=2)
    for line, first, last in _runs(np.where(unclear, WORDS.index("unclear"), NONE)):
        some = 1 - (1 - found.probability[line, first : last + 1]).prod(axis=1)
        out.add(Span(line, "unclear", first, last, float(1 - some.mean())))
    return sorted(out, key=lambda s: (s.line, s.first, s.last, s.role))


def _runs(values: NDArray[np.int64]) -> Iterator[tuple[int, int, int]]:
    """Maximal runs of one value other than `NONE` along each line: (line, first, last)."""
    for line, row in enumerate(values):
        cuts = [0, *(np.flatnonzero(np.diff(row)) + 1).tolist(), len(row)]
        for a, b in pairwise(cuts):
            if b > a and row[a] != NONE:
                yield line, a, b - 1


class _Notes:
    """The printed notes of a line in a stretch of bars."""

    def __init__(self, table: ScoreTable) -> None:
        rows = table.sounding
        self._table = table
        self._rows = [rows[rows["line"] == line.index] for line in table.lines]
        self._ends = [r["onset"] + r["duration"] for r in self._rows]

    def ids(self, line: int, start: int, end: int) -> list[str]:
        rows = self._rows[line]
        low, high = np.searchsorted(rows["onset"], (start, end))
        inside = rows[low:high]
        if not len(inside):  # tied in from before
            inside = rows[:low][self._ends[line][:low] > start]
        return self._table.note_ids(inside)


def _finding(table: ScoreTable, movement: Movement, span: Span, notes: _Notes) -> Finding:
    first, last = movement.first_bar + span.first, movement.first_bar + span.last
    start, end = table.bars[first].start, max(table.bars[last].end, table.bars[first].start + 1)
    ids = notes.ids(span.line, start, end)
    return finding(
        table,
        {"kind": "role", "parts": [part_value(table, span.line)], "role": span.role},
        start=start,
        end=end,
        bars=(first, last),
        lines=[span.line],
        evidence=(Evidence(ids=tuple(ids)),) if ids else (),
        template=f"role.{span.role}",
        params={"line": names(table, [span.line]), "place": place(table, first, last)},
        confidence=span.confidence,
    )
