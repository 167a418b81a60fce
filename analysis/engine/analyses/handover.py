"""Findings and words of handovers; what one is, and how it is known: `handover_facts`."""

from __future__ import annotations

from typing import Any

from analysis.engine import places
from analysis.engine.analyses.handover_facts import Handover, handovers
from analysis.engine.analyses.phrases import notes_of
from analysis.engine.analyses.speech import (
    bar_at,
    finding,
    names,
    part_value,
    some_names,
    span,
)
from analysis.engine.model import Evidence, Finding, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "handover.meets": (
            "{place}: {from_} hands the line to {to}; the end of the one meets the entry of the "
            "other{note}."
        ),
        "handover.overlap": (
            "{place}: {from_} hands the line to {to}; for a moment both have it{note}."
        ),
        "handover.gap": "{place}: {from_} hands the line to {to}, after a breath{note}.",
        "handover.takes-over": (
            "{place}: {to} takes the line over from {from_}, still heard beneath."
        ),
        "handover.answer": (
            "{place}: {to} answers the end of {from_} with the same figure ({count} notes alike)."
        ),
    }
)

#: bars of evidence on either side
SHOWN = 2
#: most companions named beside each of the two
NAMED = 3


def find_handovers(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "handover": from, to, and at which bar and beat.

    Parameters
    ----------
    table : ScoreTable
    settings : Settings
        ``handover_beats`` and ``handover_bars``.

    Returns
    -------
    list of Finding
        Confidence: of the tune, the geometric mean of the melody's probabilities on both sides
        times the certainty of the seam; of a figure by the notes alike.
    """
    return [_finding(table, found) for found in handovers(table, settings)]


def _finding(table: ScoreTable, found: Handover) -> Finding:
    giver, taker = found.giving[0], found.taking[0]
    value: dict[str, Any] = {
        "kind": "handover",
        "parts": [],
        "from": part_value(table, giver),
        "to": part_value(table, taker),
        "at": places.point_of(table, found.at),
    }
    before = table.bars[max(bar_at(table, found.at) - SHOWN, 0)].start
    after = table.bars[min(bar_at(table, found.at) + SHOWN, len(table.bars) - 1)].start
    evidence = [
        Evidence(ids=tuple(notes_of(table, found.left, before, found.end + 1))),
        Evidence(ids=tuple(notes_of(table, found.right, found.at, max(after, found.at + 1)))),
    ]
    return finding(
        table,
        value,
        start=found.at,
        end=max(found.end, found.at + 1),
        bars=_bars(table, found),
        lines=[*found.giving[: NAMED + 1], *found.taking[: NAMED + 1]],
        evidence=evidence,
        template=_template(found),
        params={
            "place": span(table, found.at, found.at + 1),
            "from_": _named(table, found.giving),
            "to": _named(table, found.taking),
            "count": found.alike,
            "note": _note(found),
            "gap": found.gap,
        },
        confidence=found.confidence,
    )


def _bars(table: ScoreTable, found: Handover) -> tuple[int, int]:
    first = bar_at(table, found.at)
    last = bar_at(table, max(found.end - 1, found.at))
    return first, min(last, first + 1)


def _template(found: Handover) -> str:
    if found.alike and not found.beneath:
        return "handover.answer"
    if found.beneath:
        return "handover.takes-over"
    if found.gap == 0:
        return "handover.meets"
    return "handover.overlap" if found.gap < 0 else "handover.gap"


def _note(found: Handover) -> str:
    """Whether the taker goes on from the giver's last note."""
    last = found.left.pitch[found.left.onset < max(found.at, found.left.start + 1)][-1]
    move = int(found.right.pitch[0]) - int(last)
    if move == 0:
        return ", on the same note"
    return ", on the same note in another octave" if move % 12 == 0 else ""


def _named(table: ScoreTable, lines: tuple[int, ...]) -> str:
    if len(lines) == 1:
        return names(table, lines)
    others = lines[1:]
    return f"{names(table, lines[:1])} (with {some_names(table, others, NAMED)})"
