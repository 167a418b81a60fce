"""Findings and words of sequences and melodic chains; what they are: `sequence_facts`."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from analysis.engine import places
from analysis.engine.analyses.attacks import attacks
from analysis.engine.analyses.melodic import interval_words
from analysis.engine.analyses.sequence_facts import Restated, restated, together
from analysis.engine.analyses.speech import (
    bar_at,
    finding,
    names,
    number,
    part_values,
    place,
    span,
)
from analysis.engine.model import Bar, Evidence, Finding, ScoreTable
from analysis.engine.sentences import register
from analysis.engine.settings import Settings

register(
    {
        "sequence.model": (
            "{place}: {parts} {make} a sequence: a model of {length} is stated {count} times, each "
            "time {interval} {way} ({sort}){breaks}."
        ),
        "sequence.chain": (
            "{place}: {parts} {make} a chain of {pattern}, {count} moves in a row{breaks}."
        ),
    }
)

#: how sure: a sequence of models of half a bar and more; a short model or a chain is judged
SURE, SHORT = 0.95, 0.85
#: longest list of signed intervals a claim may hold
CHAIN_MOST = 100
_LENGTHS = {
    Fraction(1, 4): "a quarter of a bar",
    Fraction(1, 3): "a third of a bar",
    Fraction(1, 2): "half a bar",
    Fraction(1): "one bar",
    Fraction(3, 2): "a bar and a half",
}


def find_sequences(table: ScoreTable, settings: Settings) -> list[Finding]:
    """Findings of kind "sequence": a model restated, or a melodic chain.

    Parameters
    ----------
    table : ScoreTable
    settings : Settings
        `sequence_statements`: fewest statements (3 by default; two are a sequential repetition).

    Returns
    -------
    list of Finding
        Value: `statements`, signed `step` between them and, where the line goes on another way,
        `breaks-at`; of a chain its signed intervals in `chain`. Lines that do so together stand
        in one finding. Confidence as `SURE` and `SHORT` say.
    """
    least = max(2, settings.sequence_statements)
    return [_finding(table, group) for group in together(restated(table, least))]


def _finding(table: ScoreTable, group: tuple[Restated, ...]) -> Finding:
    lead = group[0]
    lines = sorted(r.line for r in group)
    start = lead.start
    end = max(start + 1, *(r.end for r in group))  # whoever stands first on the page
    off = min(r.breaks for r in group)
    value: dict[str, Any] = {"kind": "sequence", "parts": part_values(table, lines)}
    if lead.chain:
        value["chain"] = list(lead.chain[:CHAIN_MOST])
    else:
        value |= {"statements": lead.statements, "step": lead.step}
    breaks_off = _breaks_together(table, group)
    if breaks_off:
        value["breaks-at"] = places.point_of(table, off)
    grid = attacks(table)
    evidence = [
        Evidence(ids=tuple(table.note_ids(grid.between(r.line, r.start, max(r.end, start + 1)))))
        for r in group
    ]
    bar = table.bars[bar_at(table, start)]
    breaks = ""
    if breaks_off:
        breaks = f"; it breaks off at {span(table, off, off + 1)}"
    last = bar_at(table, end - 1)
    params = {
        "place": place(table, bar.index, last),
        "parts": names(table, lines),
        "make": "makes" if len(lines) == 1 else "make",
        "length": length_words(bar, lead.period),
        "count": number(lead.statements) if not lead.chain else len(lead.chain),
        "interval": interval_words(lead.step),
        "way": "higher" if lead.step > 0 else "lower",
        "sort": "real: the semitones are kept" if lead.real else "tonal: the steps are kept",
        "pattern": pattern_words(lead),
        "breaks": breaks,
    }
    return finding(
        table,
        value,
        start=start,
        end=end,
        lines=lines,
        evidence=evidence,
        template="sequence.chain" if lead.chain else "sequence.model",
        params=params,
        confidence=sure(table, lead),
    )


def _breaks_together(table: ScoreTable, group: tuple[Restated, ...]) -> bool:
    """Whether all lines go another way within a beat; else each has an end of its own."""
    first, last = min(r.breaks for r in group), max(r.breaks for r in group)
    if first < 0:
        return False
    return last - first <= table.bars[bar_at(table, first)].beat_ticks


def sure(table: ScoreTable, one: Restated) -> float:
    """How sure it is that this is heard as a sequence (or chain)."""
    bar = table.bars[bar_at(table, one.start)]
    return SHORT if one.chain or 2 * one.period < bar.length else SURE


def length_words(bar: Bar, period: int) -> str:
    """How long a model is: "one bar", "half a bar", "three beats"."""
    share = Fraction(period, max(bar.length, 1))
    if share in _LENGTHS:
        return _LENGTHS[share]
    if share.denominator == 1:
        return f"{number(int(share))} bars"
    beats = Fraction(period, bar.beat_ticks)
    if beats.denominator == 1:
        return f"{number(int(beats))} beat{'s' if beats > 1 else ''}"
    return f"{float(beats):.3g} beats"


def pattern_words(lead: Restated) -> str:
    """ "falling thirds", "falling fifths and rising fourths"."""
    return " and ".join(
        f"{'rising' if m > 0 else 'falling'} {_plural(m)}" for m in lead.chain[: lead.notes]
    )


def _plural(steps: int) -> str:
    word = interval_words(steps)
    return "steps" if abs(steps) == 1 else word.split(" ", 1)[1] + "s"
