"""Textures, as spans of bars: a tune with accompaniment, a single line, chords, dialogue ...

The bars' scores of `texture_facts` are joined into spans by the path with the best sum, in which
a change costs something (Viterbi); a state without a word stands for "not clear", and such bars
are left unsaid. What is counted, a single line, needs no such path. Dialogue and imitation come
from phrases that answer or follow each other (`handover_facts`, `phrases`) and are told beside
the others.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from analysis.engine.analyses.attacks import BoolArray, IntArray, attacks
from analysis.engine.analyses.layers import layers
from analysis.engine.analyses.role_cells import Floats
from analysis.engine.analyses.speech import finding, place, some_names
from analysis.engine.analyses.texture_facts import TEXTURES, scores
from analysis.engine.analyses.texture_turns import turns
from analysis.engine.model import Evidence, Finding, Movement, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "texture.single-line": "{place}: a single line, no harmony: {who}.",
        "texture.held-chords": "{place}: held chords, no line moves.",
        "texture.chorale": "{place}: like a chorale, all in one rhythm: {who}.",
        "texture.pulse": "{place}: repeated notes for a background, no tune.",
        "texture.part-writing": "{place}: part-writing, several lines of equal weight{layers}.",
        "texture.layered": "{place}: several figures at once, layer over layer{layers}.",
        "texture.melody-countermelody": "{place}: two tunes at once{layers}.",
        "texture.melody-accompaniment": "{place}: a tune with accompaniment{layers}.",
        "texture.imitation": "{place}: imitation; {who} follow each other with one figure.",
        "texture.dialogue": "{place}: dialogue; {who} take turns.",
    }
)

#: fewest bars of a span
BARS = 2
#: score of bars that are not clear, and what a change of texture costs, in scores of bars
UNCLEAR, CHANGE = 0.5, 0.6
#: a single line is counted: from this score on it is one, however short (two bars are enough)
SINGLE, COUNTED = TEXTURES.index("single-line"), 0.95
#: mean score, over so many bars around, below which bars are left unsaid
LEAST, AROUND = 0.55, 5
#: notes of evidence a line, and lines named in a layer
SHOWN, NAMED = 12, 4


@dataclass(frozen=True, slots=True)
class Span:
    """Bars (indices of the score, inclusive) of one texture."""

    texture: str
    first: int
    last: int
    confidence: float
    lines: tuple[int, ...] = ()


def find_textures(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "texture".

    Parameters
    ----------
    table : ScoreTable
    settings : Settings
        ``handover_*``, through the dialogues.

    Returns
    -------
    list of Finding
        The confidence is the mean score of the span's bars: a judgement.
    """
    found = []
    for movement in table.movements:
        for span in [*spans(table, movement), *_turns(table, movement, settings)]:
            found.append(_finding(table, movement, span))
    return found


def spans(table: ScoreTable, movement: Movement) -> list[Span]:
    """The textures of one movement that exclude each other, by place."""
    score = scores(table, movement)
    path = _path(np.vstack([score, np.full(score.shape[1], UNCLEAR)]))
    for a, b in _runs(score[SINGLE] >= COUNTED):
        path[a:b] = SINGLE
    found = []
    at = 0
    for cut in [*(np.flatnonzero(np.diff(path)) + 1).tolist(), len(path)]:
        state = int(path[at]) if len(path) else len(TEXTURES)
        if state < len(TEXTURES):
            for a, b in _clear(score[state, at:cut]):
                first, sure = movement.first_bar + at, float(score[state, at + a : at + b].mean())
                found.append(Span(TEXTURES[state], first + a, first + b - 1, sure))
        at = cut
    return found


def _clear(score: Floats) -> list[tuple[int, int]]:
    """Stretches (end exclusive) of a span whose mean over `AROUND` bars is sure enough."""
    reach = np.ones(min(AROUND, len(score)))
    mean = np.convolve(score, reach, "same") / np.convolve(np.ones(len(score)), reach, "same")
    return [(a, b) for a, b in _runs(mean >= LEAST) if score[a:b].mean() >= LEAST]


def _runs(where: BoolArray) -> list[tuple[int, int]]:
    """Stretches (end exclusive) of `BARS` bars and more."""
    edges = np.flatnonzero(np.diff(np.r_[False, where, False].astype(np.int8)))
    pairs = zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
    return [(a, b) for a, b in pairs if b - a >= BARS]


def _path(score: Floats) -> IntArray:
    """The state of each bar on the best path; a change costs `CHANGE`."""
    states, bars = score.shape
    if not bars:
        return np.zeros(0, dtype=np.int64)
    best = score[:, 0].copy()
    back = np.zeros((states, bars), dtype=np.int64)
    for b in range(1, bars):
        change = int(best.argmax())
        stay = best >= best[change] - CHANGE
        back[:, b] = np.where(stay, np.arange(states), change)
        best = np.where(stay, best, best[change] - CHANGE) + score[:, b]
    path = np.zeros(bars, dtype=np.int64)
    path[-1] = int(best.argmax())
    for b in range(bars - 1, 0, -1):
        path[b - 1] = back[path[b], b]
    return path


def _turns(table: ScoreTable, movement: Movement, settings: Settings) -> Iterator[Span]:
    for turn in turns(table, movement, settings):
        yield Span(turn.texture, turn.first, turn.last, turn.confidence, turn.lines)


# --- words --------------------------------------------------------------------


def _finding(table: ScoreTable, movement: Movement, span: Span) -> Finding:
    start, end = table.bars[span.first].start, table.bars[span.last].end
    grid = attacks(table)
    told = layers(table, movement, span.first, span.last)
    playing = [k for k in range(len(table.lines)) if len(grid.between(k, start, end))]
    lines = list(span.lines) or playing
    evidence = [Evidence(ids=tuple(table.note_ids(grid.between(k, start, end)[:SHOWN])))
                for k in lines]  # fmt: skip
    words = [f"{layer.role} {_some(table, layer.lines)}" for layer in told]
    return finding(
        table,
        {"kind": "texture", "parts": [], "texture": span.texture},
        start=start,
        end=max(end, start + 1),
        bars=(span.first, span.last),
        lines=lines,
        evidence=[e for e in evidence if e.ids],
        template=f"texture.{span.texture}",
        params={
            "place": place(table, span.first, span.last),
            "who": _some(table, lines),
            "layers": f": {'; '.join(words)}" if words else "",
        },
        confidence=span.confidence,
    )


def _some(table: ScoreTable, lines: list[int] | tuple[int, ...]) -> str:
    return some_names(table, lines, NAMED) if len(lines) else ""
