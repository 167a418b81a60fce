"""What pages need of a score without opening its table: movements, bars, parts."""

from __future__ import annotations

from typing import Any

from analysis.engine.model import ScoreTable


def as_printed(outline: dict[str, Any]) -> dict[str, Any]:
    """The outline without what was read out of the page: bars by number, parts by label."""
    return {
        **outline,
        "bars": [{**bar, "time": ""} for bar in outline["bars"]],
        "parts": [
            {**part, "instrument": "unknown", "family": "unknown", "players": []}
            for part in outline["parts"]
        ],
        "lines": [],
    }


def outline_of(table: ScoreTable) -> dict[str, Any]:
    """JSON: movements with bar ranges, bars with labels and metre, parts with labels."""
    return {
        "title": table.title,
        "movements": [
            {"index": m.index, "title": m.title, "first": m.first_bar, "last": m.last_bar}
            for m in table.movements
        ],
        "bars": [
            {"i": b.index, "label": b.label, "nth": b.nth, "time": f"{b.beats}/{b.beat_type}",
             "implicit": b.implicit, "ending": b.ending, "passes": list(b.passes)}
            for b in table.bars
        ],
        "parts": [
            {"id": p.id, "index": p.index, "label": p.label, "instrument": p.instrument,
             "family": p.family, "players": list(p.players)}
            for p in table.first_readings
        ],
        "lines": [
            {"index": line.index, "part": table.first_readings[line.part].id, "name": line.name,
             "players": [n + 1 for n in range(31) if line.players >> n & 1]}
            for line in table.lines
        ],
        "letters": [
            {"bar": m.bar, "text": m.text} for m in table.marks if m.kind == "rehearsal"
        ],
    }  # fmt: skip
