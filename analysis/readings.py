"""Part readings as stored rows and back."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import numpy as np

from analysis.engine.model import Doubt, PartReading, ScoreTable


def part_as_dict(part: PartReading) -> dict[str, Any]:
    row = asdict(part)
    row["players"] = list(part.players)
    return row


def proposed_part(table: ScoreTable, part: PartReading) -> dict[str, Any]:
    """The engine's reading of a part with two written test notes: its lowest and highest."""
    rows = table.notes[(table.notes["part"] == part.index) & (table.notes["pitch"] >= 0)]
    rows = rows[rows["bar"] >= part.from_bar]
    later = [p.from_bar for p in table.parts
             if p.index == part.index and p.from_bar > part.from_bar]  # fmt: skip
    if later:
        rows = rows[rows["bar"] < min(later)]
    written = 12 * (rows["woctave"].astype(int) + 1) + _CHROMA[rows["wstep"]] + rows["walter"]
    ends = [int(n) for n in (written.argmin(), written.argmax())] if len(rows) else []
    samples = [
        {"step": int(rows["wstep"][n]), "alter": int(rows["walter"][n]),
         "octave": int(rows["woctave"][n]), "midi": int(written[n])}
        for n in ends
    ]  # fmt: skip
    return {**part_as_dict(part), "samples": samples, "notes": len(rows)}


_CHROMA = np.array([0, 2, 4, 5, 7, 9, 11])


def part_from_dict(row: dict[str, Any]) -> PartReading:
    names = PartReading.__dataclass_fields__
    values = {name: row[name] for name in names if name in row}
    values["players"] = tuple(row.get("players") or ())
    doubt = row.get("doubt")
    # A confirmed part carries no doubt any more: the tutor has looked.
    values["doubt"] = Doubt(**doubt) if doubt and not row.get("confirmed") else None
    return PartReading(**values)
