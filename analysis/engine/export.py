"""The computed reading of a score as JSON (contract 4), and parts back from it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Any

from analysis.engine import ENGINE_VERSION
from analysis.engine.claims.answering import evidence_json
from analysis.engine.claims.naming import pause_json, place_json
from analysis.engine.errors import EngineError
from analysis.engine.findings import written
from analysis.engine.model import (
    TICKS,
    Bar,
    Doubt,
    Finding,
    Movement,
    Notice,
    PartReading,
    ScoreTable,
)
from analysis.engine.sentences import render

SCHEMA = 1
JSON = dict[str, Any]


def score_json(
    table: ScoreTable, findings: Sequence[Finding], notices: Iterable[Notice] = ()
) -> JSON:
    """A whole file: warnings, movements with parts and bars, findings.

    Parameters
    ----------
    table : ScoreTable
    findings : sequence of Finding
    notices : iterable of Notice
        The gate's; those of the table are added.

    Returns
    -------
    dict
        See ``schemas/score.schema.json``. Indices are 0-based; ``bars`` of
        warnings and findings are printed labels; start and length are
        fractions of a quarter.
    """
    return {
        "schema": SCHEMA,
        "engine": ENGINE_VERSION,
        "title": table.title,
        "warnings": [notice_json(n, table) for n in (*notices, *table.warnings)],
        "movements": [movement_json(table, m, findings) for m in table.movements],
    }


def notice_json(notice: Notice, table: ScoreTable) -> JSON:
    labels = [table.bars[b].label for b in notice.bars if 0 <= b < len(table.bars)]
    return {"code": notice.code, "text": notice.text, "bars": labels, "part": notice.part}


def movement_json(table: ScoreTable, movement: Movement, findings: Sequence[Finding]) -> JSON:
    first, last = movement.first_bar, movement.last_bar
    rows = table.sounding
    inside = (rows["bar"] >= first) & (rows["bar"] <= last)
    return {
        "index": movement.index,
        "title": movement.title,
        "parts": [part_json(r) for r in readings_of(table, movement)],
        "bars": [bar_json(b) for b in table.bars[first : last + 1]],
        "notes": int(inside.sum()),
        "findings": [finding_json(table, f) for f in findings if f.movement == movement.index],
    }


def readings_of(table: ScoreTable, movement: Movement) -> list[PartReading]:
    """The readings in force at the start of a movement, and those that begin in it."""
    found = []
    for part in range(table.part_count):
        found.append(table.reading_at(part, movement.first_bar))
        found += [
            r
            for r in table.parts
            if r.index == part and movement.first_bar < r.from_bar <= movement.last_bar
        ]
    return found


def part_json(reading: PartReading) -> JSON:
    doubt = reading.doubt
    return {
        "id": reading.id,
        "index": reading.index,
        "label": reading.label,
        "instrument": reading.instrument,
        "family": reading.family,
        "transposition": reading.transposition,
        "crook": reading.crook,
        "players": list(reading.players),
        "octave_switch": reading.octave_switch,
        "old_bass_clef": reading.old_bass_clef,
        "from_bar": reading.from_bar,
        "doubt": {"about": doubt.about, "text": doubt.text} if doubt else None,
    }


def bar_json(bar: Bar) -> JSON:
    return {
        "index": bar.index,
        "label": bar.label,
        "nth": bar.nth,
        "start": quarters(bar.start),
        "length": quarters(bar.length),
        "time": f"{bar.beats}/{bar.beat_type}",
        "passes": list(bar.passes),
    }


def quarters(ticks: int) -> str:
    """Ticks as a fraction of a quarter: "7/2"."""
    return str(Fraction(ticks, TICKS))


def finding_json(table: ScoreTable, finding: Finding) -> JSON:
    ids = dict.fromkeys(table.first_readings[table.lines[i].part].id for i in finding.lines)
    return {
        "kind": finding.kind,
        "bars": [table.bars[finding.first].label, table.bars[finding.last].label],
        "index": [finding.first, finding.last],
        "parts": list(ids),
        "value": claim_json(table, finding),
        "confidence": written(finding.confidence),
        "evidence": [evidence_json(e) for e in finding.evidence if e.ids or e.bars],
        "sentence": render(finding.sentence),
    }


def claim_json(table: ScoreTable, finding: Finding) -> JSON:
    """The finding as a claim without id (contract 3): its value, with movement and bars.

    Parameters
    ----------
    table : ScoreTable
    finding : Finding

    Returns
    -------
    dict
        ``movement`` counts from 1, as in claims; ``bars`` is a PLACE, with ``nth`` where a label
        stands twice, and with beats for a silence that does not fill its bars.
    """
    place = place_json(table, finding.first, finding.last)
    if finding.value.get("mode") == "silence":
        place = pause_json(table, finding.start, finding.end)
    return {**finding.value, "movement": finding.movement + 1, "bars": place}


def read_parts(value: Any) -> list[PartReading]:
    """The tutor's confirmation of parts, in the shape of ``parts`` above.

    Parameters
    ----------
    value : list, or dict with a list under "parts"

    Raises
    ------
    EngineError
        With a sentence, if it is not of that shape.
    """
    rows = value.get("parts") if isinstance(value, Mapping) else value
    if not isinstance(rows, list) or not rows:
        raise EngineError("The parts should be a list like the one read_score writes.")
    return [_reading(row, n) for n, row in enumerate(rows)]


_TYPES: dict[str, tuple[type, ...]] = {
    "id": (str,),
    "index": (int,),
    "label": (str,),
    "instrument": (str,),
    "family": (str,),
    "transposition": (int,),
    "crook": (str, type(None)),
    "players": (list, tuple),
    "octave_switch": (bool,),
    "old_bass_clef": (bool,),
    "from_bar": (int,),
}
_NEEDED = ("id", "index", "label", "instrument", "family")


def _reading(row: Any, number: int) -> PartReading:
    if not isinstance(row, Mapping):
        raise EngineError(f"Part {number + 1} of the confirmation is no object.")
    values: JSON = {}
    for name, types in _TYPES.items():
        if name not in row:
            if name in _NEEDED:
                raise EngineError(f"Part {number + 1} of the confirmation has no “{name}”.")
            continue
        if not isinstance(row[name], types) or (bool not in types and row[name] is True):
            raise EngineError(f"“{name}” of part {number + 1} is not what it should be.")
        values[name] = row[name]
    players = values.get("players", ())
    if not all(isinstance(p, int) and 1 <= p <= 31 for p in players):
        raise EngineError(f"“players” of part {number + 1} should be numbers from 1 on.")
    values["players"] = tuple(players)
    doubt = row.get("doubt")
    if isinstance(doubt, Mapping):
        values["doubt"] = Doubt(doubt.get("about", "name"), str(doubt.get("text", "")))
    if "diatonic" not in values:
        from analysis.engine.pitch import steps_of

        values["diatonic"] = steps_of(values.get("transposition", 0))
    return PartReading(**values)
