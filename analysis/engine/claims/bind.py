"""Look up the bars and parts of a claim in one score; find doubts that touch it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from analysis.engine import names, places
from analysis.engine.claims import evidence as proof
from analysis.engine.claims import speech
from analysis.engine.claims.base import Bars, Bound, Kind
from analysis.engine.claims.fields import PartName
from analysis.engine.claims.schema import Claim
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import Movement, PartReading, ScoreTable, Sentence
from analysis.engine.names import Named, Unit
from analysis.engine.sentences import register

register({"claim.place.note": "{text}", "claim.name.note": "“{text}” = {parts}."})


def bind(claim: Claim, kind: Kind, table: ScoreTable) -> Bound:
    """Find the claim's movement, bars and parts.

    Raises
    ------
    ClaimNotUnderstood
        A movement, bar or part that is not there, or more than one.
    """
    movement = _movement(claim, table)
    bars, notes = _bars(claim, table, movement)
    parts = tuple(names.resolve(p, table, movement.index) for p in claim.parts)
    named: dict[str, tuple[Named, ...]] = {}
    for field in kind.part_fields:
        wanted = _part_names(claim.fields, field)
        if wanted is not None:
            named[field] = tuple(names.resolve(p, table, movement.index) for p in wanted)
    if named.get("with"):
        if (halves := _halves(parts, named["with"], table)) is not None:
            parts, named["with"] = halves
        parts = _apart(parts, named["with"])
    return Bound(claim, movement, bars, parts, named, tuple(notes))


def _part_names(fields: Mapping[str, Any], path: str) -> list[PartName] | None:
    """The PARTs of a field, or of a field of each group of a list ("entries.part")."""
    name, _, inner = path.partition(".")
    value = fields.get(name)
    if value is None:
        return None
    many = value if isinstance(value, tuple) else (value,)
    if inner:
        held = [group[inner] for group in many]
        many = tuple(p for v in held for p in (v if isinstance(v, tuple) else (v,)))
    many = tuple(p[0] if isinstance(p, tuple) else p for p in many)  # {PART: word}
    return [p for p in many if isinstance(p, PartName)]


def _halves(
    parts: tuple[Named, ...], others: tuple[Named, ...], table: ScoreTable
) -> tuple[tuple[Named, ...], tuple[Named, ...]] | None:
    """One divided part named on both sides ("the violas in sixths with each other"): its lines.

    Its first line against the others; None where it is not one part with several lines.
    """
    units = {u for n in (*parts, *others) for u in n.units}
    if len(parts) != 1 or len(others) != 1 or len(units) != 1:
        return None
    unit = units.pop()
    lines = [table.lines[i] for i in unit.lines]
    if len(lines) < 2:
        return None
    one, *rest = [Unit(unit.part, (line.index,), line.name) for line in lines]
    return (replace(parts[0], units=(one,)),), (replace(others[0], units=tuple(rest)),)


def _apart(parts: tuple[Named, ...], others: tuple[Named, ...]) -> tuple[Named, ...]:
    """The parts without those that stand on the other side: "the strings double violins I"."""
    theirs = {line for named in others for line in named.lines}
    kept = tuple(
        replace(n, units=tuple(u for u in n.units if not set(u.lines) <= theirs)) for n in parts
    )
    empty = next((n for n in kept if not n.units), None)
    if empty is not None:
        raise ClaimNotUnderstood(f"“{empty.text}” stands on both sides; name two different parts.")
    return kept


def _movement(claim: Claim, table: ScoreTable) -> Movement:
    number = claim.movement
    if isinstance(claim.bars, dict) and claim.bars.get("movement"):
        number = claim.bars["movement"]
    if not 1 <= number <= len(table.movements):
        count = len(table.movements)
        has = "one movement" if count == 1 else f"{count} movements"
        raise ClaimNotUnderstood(f"There is no movement {number}; this score has {has}.")
    return table.movements[number - 1]


def _bars(claim: Claim, table: ScoreTable, movement: Movement) -> tuple[Bars, list[Sentence]]:
    if claim.bars is None:
        first, last = movement.first_bar, movement.last_bar
        return Bars(first, last, table.bars[first].start, table.bars[last].end), []
    span = places.resolve(claim.bars, table, movement.index)
    notes = [speech.say("claim.place.note", text=span.note)] if span.note else []
    return Bars(span.first, span.last, span.start, max(span.end, span.start + 1)), notes


def name_notes(bound: Bound) -> list[Sentence]:
    """How collectives were taken, so that nobody has to guess."""
    return [
        speech.say("claim.name.note", text=named.text, parts=[u.label for u in named.units])
        for named in bound.everyone
        if named.how == "collective" and not named.whole and len(named.units) <= 8
    ]


def doubt_about(bound: Bound, kind: Kind, table: ScoreTable) -> PartReading | None:
    """A named part whose doubt touches this kind, in the claimed bars."""
    for named in bound.everyone:
        for unit in named.units:
            for reading in _readings(table, unit.part, bound.bars):
                if reading.doubt and _touches(reading, kind, bound, table):
                    return reading
    return None


def doubt_around(bound: Bound, table: ScoreTable) -> PartReading | None:
    """Where every other part counts ("nobody doubles it", octave levels): one whose pitch is
    not confirmed and that sounds in the claimed bars."""
    fields = bound.claim.fields
    if fields.get("coverage") != "none" and fields.get("levels") is None:
        return None
    inside = set(bound.bars.indices)
    for part in range(table.part_count):
        reading = table.reading_at(part, bound.bars.first)
        if reading.doubt is None or reading.doubt.about != "pitch":
            continue
        lines = [line.index for line in table.lines if line.part == part]
        if proof.bars_sounding(table, lines) & inside:
            return reading
    return None


def _readings(table: ScoreTable, part: int, bars: Bars) -> list[PartReading]:
    first = table.reading_at(part, bars.first)
    later = [r for r in table.parts if r.index == part and bars.first < r.from_bar <= bars.last]
    return [first, *later]


def _touches(reading: PartReading, kind: Kind, bound: Bound, table: ScoreTable) -> bool:
    assert reading.doubt is not None
    about = reading.doubt.about
    if about == "name":
        return True
    if about == "pitch":
        layout = kind.name == "layout" and bound.claim.fields.get("transposition") is not None
        marked = kind.name == "marking" and bound.claim.fields.get("register") is not None
        return kind.pitched or layout or marked
    layout = kind.name == "layout" and bound.claim.fields.get("players") is not None
    return layout or any(_names_a_player(unit, table) for unit in bound.units)


def _names_a_player(unit: Unit, table: ScoreTable) -> bool:
    """Whether the claim speaks of one player of a staff, not of the staff as such."""
    return len(unit.lines) < sum(line.part == unit.part for line in table.lines)
