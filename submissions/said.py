"""The structured half of a statement in words: labels, not codes."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from submissions.kinds import kind_of
from submissions.kinds.base import parts_as_text
from submissions.kinds.registry import StatementKind
from submissions.models import ObservationVersion


def said_fields(statement: ObservationVersion, outline: dict[str, Any]) -> list[tuple[str, str]]:
    """The structured half of the statement in words: label, value."""
    rows = rows_of(kind_of(statement.kind), statement.claim.get("typed", {}).get("says", {}))
    if not rows and statement.claim.get("parts"):
        rows.append((_("Parts"), parts_as_text(statement.claim["parts"], outline)))
    return rows


def rows_of(kind: StatementKind, typed: dict[str, str]) -> list[tuple[str, str]]:
    """What was typed or chosen in a kind's form, in words: label, value."""
    rows: list[tuple[str, str]] = []
    for name, field in kind.form().fields.items():
        value = typed.get(name)
        if value in ("", None):
            continue
        if value == "on":
            rows.append(("", str(field.label)))
            continue
        choices = dict(getattr(field, "choices", []) or [])
        # "pulse: its point is time": the gloss belongs to the form.
        said = str(choices[value]).split(": ")[0] if value in choices else str(value)
        rows.append((str(field.label), said))
    return rows


def in_a_line(statement: ObservationVersion, outline: dict[str, Any]) -> str:
    """ "Parts: Flauto · go with: Violino I · ...": for a list; a tick says its label."""
    return _joined(said_fields(statement, outline))


def line_of(kind: StatementKind, typed: dict[str, str]) -> str:
    """The same of what has not been kept yet."""
    return _joined(rows_of(kind, typed))


def _joined(rows: list[tuple[str, str]]) -> str:
    return " · ".join(f"{label}: {value}" if label else value for label, value in rows)


def stated(statement: ObservationVersion, outline: dict[str, Any]) -> dict[str, Any]:
    """All that was stated, for `submissions/_stated.html`."""
    return {
        "kind": kind_of(statement.kind).label,
        "line": in_a_line(statement, outline),
        "words": statement.words,
        "sense": statement.get_sense_display(),
        "doubt": statement.doubt,
    }
