"""Findings and words of imitation; what it is, and how it is known: `imitation_facts`."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from analysis.engine import places
from analysis.engine.analyses.attacks import attacks
from analysis.engine.analyses.imitation_facts import Entry, Imitation, imitations
from analysis.engine.analyses.melodic import interval_words, stream
from analysis.engine.analyses.speech import (
    bar_at,
    finding,
    number,
    part_value,
    some_names,
    span,
)
from analysis.engine.many import is_many
from analysis.engine.model import Evidence, Finding, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "imitation": (
            "{place}: imitation: {first} begins, {others}; {count} notes are alike ({sort})."
        ),
    }
)

#: confidence with the fewest alike notes and two entries, what each more adds, and the most
START, NOTE, ENTRY, TOP = 0.7, 0.02, 0.07, 0.95
#: companions named beside a leading part
NAMED = 2


def find_imitations(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "imitation": entries by time, and the interval between them.

    Parameters
    ----------
    table : ScoreTable
    settings : Settings
        None of them bears on it.

    Returns
    -------
    list of Finding
        Value: `entries` (part and point of each; of lines that enter together the leading one),
        and `interval` in semitones of each entry above the one before, where it is always the
        same. Confidence by the notes alike and the number of entries; judged, not measured.
    """
    return [_finding(table, one) for one in imitations(table)]


def _finding(table: ScoreTable, one: Imitation) -> Finding:
    value: dict[str, Any] = {
        "kind": "imitation",
        "parts": [],
        "entries": [
            {
                "part": part_value(table, e.lines[0]),
                "at": places.point_of(table, e.onset),
            }
            for e in one.entries
        ],
    }
    if len(set(one.intervals)) == 1 and abs(one.intervals[0]) <= 48:
        value["interval"] = one.intervals[0]
    grid = attacks(table)
    evidence = [
        Evidence(ids=tuple(table.note_ids(grid.between(e.lines[0], e.onset, e.end))))
        for e in one.entries
    ]
    start, last = one.entries[0].onset, one.entries[-1]
    return finding(
        table,
        value,
        start=start,
        end=max(last.end, last.onset + 1),
        bars=(bar_at(table, start), bar_at(table, last.onset)),
        lines=list(dict.fromkeys(line for e in one.entries for line in e.lines)),
        evidence=evidence,
        template="imitation",
        params={
            "place": span(table, start, last.onset + 1),
            "first": _named(table, one.entries[0]),
            "others": _others(table, one),
            "count": one.alike,
            "sort": "real: the semitones are kept" if one.real else "tonal",
            "lags": list(one.lags),
        },
        confidence=sure(one),
    )


def sure(one: Imitation) -> float:
    """How sure it is, by the notes alike and the number of entries; judged, not measured."""
    return min(TOP, START + NOTE * (one.alike - 5) + ENTRY * (len(one.entries) - 2))


def _named(table: ScoreTable, entry: Entry) -> str:
    lead, others = table.lines[entry.lines[0]].name, entry.lines[1:]
    if not others:
        return lead
    return f"{lead} (with {some_names(table, others, NAMED)})"


def _others(table: ScoreTable, one: Imitation) -> str:
    """ "Violin II follows after one bar, a fourth lower, Viola after another bar, ..."."""
    s = stream(table)
    said = []
    pairs = zip(one.entries[:-1], one.entries[1:], one.intervals, one.lags, strict=True)
    for k, (before, entry, semis, lag) in enumerate(pairs):
        name = _named(table, entry)
        steps = int(s.degree[entry.at] - s.degree[before.at])
        verb = "" if k else " follow" if is_many(name) else " follows"
        bar = table.bars[bar_at(table, before.onset)]
        where = level_words(steps, semis)
        later = _lag(Fraction(lag, bar.beat_ticks), bar.beats)
        said.append(f"{name}{verb} {later} later, {where}")
    return ", ".join(said[:-1]) + " and " + said[-1] if len(said) > 1 else said[0]


def level_words(steps: int, semis: int) -> str:
    """At which height an entry stands to the one before: "a fifth lower"."""
    if steps == 0 and semis == 0:
        return "at the same pitch"
    word = interval_words(steps) if steps else "a step"
    return f"{word} {'higher' if (steps or semis) > 0 else 'lower'}"


def _lag(beats: Fraction, in_bar: int) -> str:
    if in_bar and beats % in_bar == 0:
        bars = int(beats // in_bar)
        return "one bar" if bars == 1 else f"{number(bars)} bars"
    if beats == 1:
        return "one beat"
    whole, rest = divmod(beats, 1)
    return f"{number(int(whole)) if not rest else f'{whole} {rest}'} beats"
