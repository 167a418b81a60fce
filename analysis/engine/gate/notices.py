"""Warnings gathered while a file is let in: one notice for each kind of trouble."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from analysis.engine.model import Notice


def notice(row: Mapping[str, Any]) -> Notice:
    """A notice that crossed to another process."""
    return Notice(row["code"], row["text"], tuple(row["bars"]), row["part"])


@dataclass
class _Entry:
    text: str
    bars: set[int] = field(default_factory=set)
    parts: set[str | None] = field(default_factory=set)


class Notices:
    """Collects by code; the same trouble in many bars becomes one notice."""

    def __init__(self, said: Sequence[Notice] = ()) -> None:
        self._entries: dict[str, _Entry] = {
            n.code: _Entry(n.text, set(n.bars), {n.part}) for n in said
        }

    def add(self, code: str, text: str, *, bar: int | None = None, part: str | None = None) -> None:
        """Note a trouble; `text` is kept from the first call with this code."""
        entry = self._entries.setdefault(code, _Entry(text))
        if bar is not None:
            entry.bars.add(bar)
        entry.parts.add(part)

    def as_tuple(self) -> tuple[Notice, ...]:
        """In the order in which each code was first met."""
        return tuple(
            Notice(
                code=code,
                text=entry.text,
                bars=tuple(sorted(entry.bars)),
                part=next(iter(entry.parts)) if len(entry.parts) == 1 else None,
            )
            for code, entry in self._entries.items()
        )
