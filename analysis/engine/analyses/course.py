"""The course of a part: with whom it goes along the bars, and where it changes partner.

One finding a stretch in which the part plays (rests of a bar are breaths): its steps in order,
each with its company. Told only where the company changes between steps of two bars and more. For
the facts see `course_facts`; for two players of one kind `course_pairs`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from analysis.engine import places
from analysis.engine.analyses.attacks import attacks, memo
from analysis.engine.analyses.course_facts import Step, playing_bars, steps, stretches
from analysis.engine.analyses.spans import heads
from analysis.engine.analyses.speech import distance, finding, names, part_value, place
from analysis.engine.model import Evidence, Finding, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "course.changes": "{place}: {parts} changes partner: {steps}.",
    }
)

#: most steps of one finding: longer courses are told in pieces
MOST = 6
#: fewest different pitches of a step that is a line: less is filling up chords. Common practice
MOVES = 3
#: most companions named in a sentence
NAMED = 3
#: notes of evidence a step
SHOWN = 24


def find_courses(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "course", by line and place.

    Parameters
    ----------
    table : ScoreTable
    settings : Settings
        All ``doubling_*``, through the runs; ``course_bars``.

    Returns
    -------
    list of Finding
        ``value["steps"]``: bars, with (all who go with it throughout the step), octaves (signed,
        the part relative to them; left out where they differ). Confidence 1: counted, not judged.
    """
    found = []
    for line in heads(table):
        for first, last in stretches(table, playing_bars(table, line)):
            told = _told(table, line, steps(table, line, first, last, settings), settings)
            pieces = [p for p in _pieces(told) if _told(table, line, p, settings)]
            found += [_finding(table, line, piece) for piece in pieces]
    return found


def _told(
    table: ScoreTable, line: int, course: Sequence[Step], settings: Settings
) -> Sequence[Step]:
    """The course from its first to its last change of partner; empty if there is none.

    A change counts between two steps with company that last and are lines, not chord notes; a
    time alone may lie between.
    """
    lasting = [
        k
        for k, step in enumerate(course)
        if step.bars >= settings.course_bars and step.company and _moves(table, line, step)
    ]
    changes = [(a, b) for a, b in pairwise(lasting) if not course[a].who & course[b].who]
    return course[changes[0][0] : changes[-1][1] + 1] if changes else ()


def _pieces(course: Sequence[Step]) -> Iterator[Sequence[Step]]:
    """Pieces of at most `MOST` steps; each begins with the last step of the one before."""
    count = max(1, -(-(len(course) - 1) // (MOST - 1)))
    size = -(-(len(course) - 1) // count)
    for k in range(0, len(course) - 1, max(size, 1)):
        yield course[k : k + size + 1]


def _moves(table: ScoreTable, line: int, step: Step) -> bool:
    rows = attacks(table).between(line, table.bars[step.first].start, table.bars[step.last].end)
    return len(np.unique(rows["pitch"])) >= MOVES


def _finding(table: ScoreTable, line: int, piece: Sequence[Step]) -> Finding:
    grid = attacks(table)
    lines = dict.fromkeys(k for s in piece for k, _ in s.company)
    evidence = []
    for step in piece:
        start, end = table.bars[step.first].start, table.bars[step.last].end
        for who in (line, *(k for k, _ in step.company[:1])):
            ids = table.note_ids(grid.between(who, start, end)[:SHOWN])
            evidence.append(Evidence(ids=tuple(ids)))
    first, last = piece[0].first, piece[-1].last
    return finding(
        table,
        {
            "kind": "course",
            "parts": [part_value(table, line)],
            "steps": [step_value(table, step) for step in piece],
        },
        start=table.bars[first].start,
        end=table.bars[last].end,
        bars=(first, last),
        lines=[line, *lines],
        evidence=[e for e in evidence if e.ids],
        template="course.changes",
        params={
            "place": place(table, first, last),
            "parts": names(table, [line]),
            "steps": ", then ".join(_words(table, step) for step in piece),
        },
    )


def step_value(table: ScoreTable, step: Step) -> dict[str, Any]:
    """A step as the claim schema has it."""
    value: dict[str, Any] = {
        "bars": place_value(table, step.first, step.last),
        "with": [part_value(table, k) for k, _ in step.company],
    }
    if step.octaves is not None:
        value["octaves"] = step.octaves
    return value


def place_value(table: ScoreTable, first: int, last: int) -> Any:
    """PLACE of bars; labels that stand once in their movement need no search."""
    once: frozenset[tuple[int, str]] = memo(table, "_labels_once", lambda: _labels_once(table))
    a, b = table.bars[first], table.bars[last]
    if (a.movement, a.label) in once and (b.movement, b.label) in once:
        return [a.label] if first == last else [a.label, b.label]
    return places.place_of(table, first, last)


def _labels_once(table: ScoreTable) -> frozenset[tuple[int, str]]:
    counts = Counter((b.movement, b.label) for b in table.bars)
    return frozenset(key for key, n in counts.items() if n == 1 and key[1].isdigit())


def _words(table: ScoreTable, step: Step) -> str:
    where = place(table, step.first, step.last).split(", ")[-1]
    if not step.company:
        return f"alone ({where})"
    return f"with {company(table, step)} ({where})"


def company(table: ScoreTable, step: Step) -> str:
    """Who goes along, strings first: "Violin 1 and Flute 1 one octave lower"."""
    ranked = sorted(step.company, key=lambda c: (table.lines[c[0]].family != "strings", c[0]))
    lines = [k for k, _ in ranked]
    if len(lines) <= NAMED:
        told = names(table, lines)
    else:
        told = ", ".join(table.lines[k].name for k in lines[:NAMED])
        told += f" and {len(lines) - NAMED} more"
    return f"{told} {distance(step.octaves)}" if step.octaves is not None else told
