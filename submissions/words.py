"""The tutor's word on the reading, said through the forms of the kinds of statement."""

from __future__ import annotations

from typing import Any

from analysis.engine import names
from analysis.engine.claims.fields import PartName
from analysis.engine.model import ScoreTable
from submissions.kinds import KINDS
from submissions.kinds.base import parts_as_text

#: Kinds a computed fact can be of; what is only the tutor's to hear is nobody's finding.
SAYABLE = {name: kind for name, kind in KINDS.items() if name != "free"}
#: Claim fields that name parts, and the form fields in which they are typed.
_PARTS = {
    "parts": "parts", "with": "with_", "upper": "upper", "lower": "lower",
    "from": "from_", "to": "to", "side": "side",
}  # fmt: skip


def parts_of(claim: dict[str, Any], table: ScoreTable, movement: int) -> list[dict[str, Any]]:
    """Every staff or player the claim names, as overrules keep them; collectives one by one."""
    found: list[dict[str, Any]] = []
    # Entries and steps name parts of their own.
    groups = [claim, *claim.get("entries", []), *claim.get("steps", [])]
    for field in (*_PARTS, "part"):
        for part in (p for group in groups for p in _as_list(group.get(field, []))):
            if isinstance(part, dict):
                rows = [{"part": part["part"], "player": part.get("player")}]
            else:
                units = names.resolve(PartName(str(part)), table, movement).units
                ids = dict.fromkeys(table.first_readings[unit.part].id for unit in units)
                rows = [{"part": i, "player": None} for i in ids]
            found += [row for row in rows if row not in found]
    return found


def typed_from(value: dict[str, Any], outline: dict[str, Any]) -> dict[str, str]:
    """A finding's value as one would type it into its kind's form."""
    ids = {p["id"] for p in outline.get("parts", [])}
    typed: dict[str, str] = {}
    for name, said in value.items():
        if name in _PARTS:
            rows = [
                {"part": p, "player": None} if isinstance(p, str) and p in ids else p
                for p in _as_list(said)
            ]
            typed[_PARTS[name]] = parts_as_text(rows, outline)
        elif name in {"pitches", "missing"}:
            typed.update(says=name, notes=", ".join(map(str, said)))
        elif isinstance(said, list):
            typed[name] = ", ".join(f"{n:g}" if isinstance(n, float) else str(n) for n in said)
        elif said is not None and not isinstance(said, bool | dict):
            typed[name] = str(said)
    kind = KINDS.get(str(value.get("kind")))
    return {**typed, **kind.form.typed(value, outline)} if kind else typed


def _as_list(said: Any) -> list[Any]:
    return said if isinstance(said, list) else [said]
