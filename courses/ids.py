"""Public ids as they come in from forms: anything may stand there."""

from __future__ import annotations

from uuid import UUID

NO_ID = UUID(int=0)  # nothing has it


def as_id(text: object) -> UUID:
    """The id; for what is none, one that finds nothing."""
    try:
        return UUID(str(text))
    except ValueError:
        return NO_ID
