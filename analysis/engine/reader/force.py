"""What is in force at a note: dynamics, techniques, slurs."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from analysis.engine.model import Articulation, Mark, Technique

#: Words that set (+) or cancel (-) a technique, tried in order on each phrase.
_WORDS: tuple[tuple[re.Pattern[str], int, int], ...] = tuple(
    (re.compile(pattern, re.IGNORECASE), int(on), int(off))
    for pattern, on, off in (
        (r"\bpizz", Technique.PIZZICATO, Technique.COL_LEGNO),
        (r"\b(coll'\s*)?arco\b", 0, Technique.PIZZICATO | Technique.COL_LEGNO),
        (r"\bcol legno\b", Technique.COL_LEGNO, 0),
        (r"\b(senza|sans|ohne|via|without)\s+(sou?rd|d.mpf|mute)", 0, Technique.CON_SORDINO),
        (r"\b(con|avec|mit|with|c\.)\s*(sou?rd|d.mpf|mute)", Technique.CON_SORDINO, 0),
        (r"^\s*(muted|gestopft)\b", Technique.CON_SORDINO, 0),
        (r"\bsul pont", Technique.SUL_PONTICELLO, 0),
        (r"\b(ord\.|ordinario|nat\.|naturale|norm\.)", 0,
         Technique.SUL_PONTICELLO | Technique.COL_LEGNO),
        (r"\bsul tasto\b", 0, Technique.SUL_PONTICELLO),
        (r"\bsoli\b", Technique.SOLI, Technique.SOLO),
        (r"^(?!.*tasto).*\bsolo\b", Technique.SOLO, Technique.SOLI),
        (r"\b(tutti|ripieno|rip\.)", 0, Technique.SOLO | Technique.SOLI),
        (r"\ba\.?\s?2\b|\ba due\b|\bzu 2\b|\bunis", 0, Technique.SOLO),
    )
)  # fmt: skip


def technique_changes(text: str) -> tuple[int, int]:
    """Bits of `Technique` that a phrase sets and cancels: "div. pizz." -> (1, 4)."""
    found = [(m.start(), sets, clears) for pattern, sets, clears in _WORDS
             if (m := pattern.search(text))]  # fmt: skip
    on = off = 0
    for _, sets, clears in sorted(found):
        # The later word of a phrase wins.
        on, off = (on & ~clears) | sets, (off & ~sets) | clears
    return on, off & ~on


def dynamics(
    marks: Sequence[Mark], part: NDArray[np.int16], onset: NDArray[np.int64], parts: int
) -> NDArray[np.int8]:
    """The last printed level of the part at every note; 0 before the first one."""
    events: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for mark in marks:
        if mark.kind == "dynamic" and mark.number > 0:
            events[mark.part].append((mark.onset, int(mark.number)))
    return _in_force(events, part, onset, parts).astype(np.int8)


def techniques(
    marks: Sequence[Mark], part: NDArray[np.int16], onset: NDArray[np.int64], parts: int
) -> NDArray[np.uint16]:
    """`Technique` bits in force at every note, from the words of its part."""
    events: dict[int, list[tuple[int, int]]] = defaultdict(list)
    state: dict[int, int] = {}
    for mark in sorted((m for m in marks if m.kind == "words"), key=lambda m: m.onset):
        on, off = technique_changes(mark.text)
        if on or off:
            state[mark.part] = (state.get(mark.part, 0) & ~off) | on
            events[mark.part].append((mark.onset, state[mark.part]))
    return _in_force(events, part, onset, parts).astype(np.uint16)


def _in_force(
    events: dict[int, list[tuple[int, int]]],
    part: NDArray[np.int16],
    onset: NDArray[np.int64],
    parts: int,
) -> NDArray[np.int64]:
    """Value of the last event of the part at or before each onset; 0 before the first."""
    out = np.zeros(len(part), dtype=np.int64)
    for index in range(parts):
        mine = events.get(index)
        if not mine:
            continue
        mine.sort(key=lambda e: e[0])
        rows = np.flatnonzero(part == index)
        times = np.array([t for t, _ in mine], dtype=np.int64)
        values = np.array([0, *(v for _, v in mine)], dtype=np.int64)
        out[rows] = values[np.searchsorted(times, onset[rows], side="right")]
    return out


def slurred(
    slurs: Sequence[tuple[int, int, int]],
    part: NDArray[np.int16],
    voice: NDArray[np.int16],
    onset: NDArray[np.int64],
) -> NDArray[np.bool_]:
    """True for notes under a slur that are not its last note, within the slur's voice."""
    out = np.zeros(len(part), dtype=np.bool_)
    for index, first, last in slurs:
        if last <= first:
            continue
        span = slice(first, last)
        out[span] |= (
            (part[span] == index) & (voice[span] == voice[first]) & (onset[span] < onset[last])
        )
    return out


SLURRED = int(Articulation.SLURRED)
