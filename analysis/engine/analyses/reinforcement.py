"""Reinforcement by pitch: a line that supports only some notes of another.

The fact is a run of `runs` in which the supporting line is met (nearly) throughout, while these
are no more than .1 to .3 of the supported line's attacks (thresholds in Settings).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from itertools import combinations
from typing import Any

from analysis.engine.analyses.accents import structure
from analysis.engine.analyses.attacks import attacks
from analysis.engine.analyses.runs import Run, met_notes, pair_runs
from analysis.engine.analyses.speech import (
    bar_at,
    beat,
    distance,
    finding,
    names,
    part_value,
    part_values,
    place,
)
from analysis.engine.model import Articulation, Evidence, Finding, NoteArray, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "reinforcement.notes": (
            "{place}: {parts} supports only some notes of {with_}, {distance} "
            "({met} of {of} attacks{which})."
        ),
        "reinforcement.several": (
            "{place}: {parts} together support only some notes of {with_} "
            "({met} of {of} attacks{which})."
        ),
        "reinforcement.beats": (
            "{place}: {parts} supports {with_} only on beat {beats}, {distance} "
            "({met} of {of} attacks)."
        ),
        "reinforcement.beats.many": (
            "{place}: {parts} supports {with_} only on beats {beats}, {distance} "
            "({met} of {of} attacks)."
        ),
        "reinforcement.accents": (
            "{place}: {parts} supports the accents of {with_}, {distance} ({met} of {of} attacks)."
        ),
    }
)

#: share of the supported notes that must be marked for "supports the accents"; common practice
ACCENTED = 0.8
#: runs of fewer bars are told by nobody; the facts stay in `pair_runs`. Common practice
BARS = 2


def supported_beats(table: ScoreTable, run: Run) -> list[float]:
    """Beats on which all the support falls, if it is the same in every bar; else an empty list."""
    by_bar: dict[int, list[float]] = {}
    for tick in run.at.tolist():
        bar = table.bars[bar_at(table, tick)]
        by_bar.setdefault(bar.index, []).append(1 + (tick - bar.start) / bar.beat_ticks)
    beats = list(by_bar.values())
    return beats[0] if beats and all(b == beats[0] for b in beats) else []


def find_reinforcements(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "reinforcement"; evidence = supporting and supported notes.

    Players who support the same notes of a line are told together; lines that go together are
    named once, by the first of them.
    """
    groups: dict[tuple[int, int, int, tuple[int, ...]], list[Run]] = defaultdict(list)
    for a, b in combinations(table.lines, 2):
        if a.part == b.part:
            continue
        for run in pair_runs(table, a.index, b.index, settings):
            if run.coverage == "reinforcement" and run.last - run.first + 1 >= BARS:
                groups[_sides(run)[1], run.first, run.last, tuple(run.at.tolist())].append(run)
    told: set[tuple[tuple[int, ...], tuple[int, ...]]] = set()
    found = []
    for (_, _, _, at), same in sorted(groups.items(), key=lambda g: g[0][0]):
        who = tuple(_sides(run)[0] for run in same)
        if (who, at) not in told:
            told.add((who, at))
            found.append(_finding(table, same))
    return found


def _sides(run: Run) -> tuple[int, int, int]:
    """The supporting line, the supported one, and the octaves of the first above the second."""
    if run.of_a > run.of_b:
        return run.b, run.a, -run.octaves
    return run.a, run.b, run.octaves


def _finding(table: ScoreTable, same: Sequence[Run]) -> Finding:
    run = same[0]
    _, many, octaves = _sides(run)
    lines = [_sides(one)[0] for one in same]
    grid = attacks(table)
    supports = [met_notes(grid, one, line) for one, line in zip(same, lines, strict=True)]
    supported = met_notes(grid, run, many)
    beats = supported_beats(table, run)
    value: dict[str, Any] = {
        "kind": "reinforcement",
        "parts": part_values(table, lines),
        "with": [part_value(table, many)],
        "by": "pitch",
    }
    if beats:
        value["beats"] = beats
    else:
        value["notes"] = table.note_ids(supported)
    template = "reinforcement.beats" if beats else "reinforcement.notes"
    if len(beats) > 1:
        template = "reinforcement.beats.many"
    if _accented(grid.between(many, run.start, run.end), supported):
        template = "reinforcement.accents"
    if len(lines) > 1:
        template = "reinforcement.several"
    which = structure(table, grid.between(many, run.start, run.end), supported)
    first = table.bars[run.first]
    return finding(
        table,
        value,
        start=run.start,
        end=run.end,
        bars=(run.first, run.last),
        lines=[*lines, many],
        evidence=[
            *(Evidence(ids=tuple(table.note_ids(support))) for support in supports),
            Evidence(ids=tuple(table.note_ids(supported))),
        ],
        template=template,
        params={
            "place": place(table, run.first, run.last),
            "parts": names(table, lines),
            "with_": names(table, [many]),
            "distance": distance(octaves),
            "octaves": octaves,
            "met": run.met,
            "of": max(run.of_a, run.of_b),
            "which": which,
            "beats": " and ".join(
                beat(first, first.start + round((b - 1) * first.beat_ticks)) for b in beats
            ),
        },
    )


def _accented(all_rows: NoteArray, supported: NoteArray) -> bool:
    """Whether what is supported is marked, and what is not is mostly not."""
    marks = int(Articulation.ACCENT | Articulation.MARCATO)
    hit = (supported["articulation"] & marks) > 0
    rest = int(((all_rows["articulation"] & marks) > 0).sum()) - int(hit.sum())
    others = len(all_rows) - len(supported)
    return bool(len(hit) and hit.mean() >= ACCENTED and rest < (1 - ACCENTED) * max(others, 1))
