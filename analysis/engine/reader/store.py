"""A note table as bytes and back: arrays as `.npy`, the rest as JSON, in one zip file.

Nothing is pickled, so a stored table can be read without trusting it.
"""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import astuple, fields
from typing import Any, TypeVar

import numpy as np

from analysis.engine.errors import EngineError
from analysis.engine.model import (
    NOTE,
    Bar,
    Doubt,
    Line,
    Mark,
    Movement,
    Notice,
    PartReading,
    ScoreTable,
)

#: Raised whenever the shape of the table changes.
VERSION = 1
_ARRAYS = ("notes", "continuations")
T = TypeVar("T")


def dumps(table: ScoreTable) -> bytes:
    """The table as bytes; equal tables give equal bytes."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for name in _ARRAYS:
            member = io.BytesIO()
            np.lib.format.write_array(
                member, np.ascontiguousarray(getattr(table, name)), allow_pickle=False
            )
            archive.writestr(_entry(f"{name}.npy"), member.getvalue())
        text = json.dumps(_head(table), ensure_ascii=False, separators=(",", ":"))
        archive.writestr(_entry("table.json"), text.encode())
    return buffer.getvalue()


def loads(data: bytes) -> ScoreTable:
    """A table from bytes of `dumps`.

    Raises
    ------
    EngineError
        If the bytes are no stored table, or one of another version: read the
        canonical copy again.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            arrays = {
                name: np.lib.format.read_array(
                    io.BytesIO(archive.read(f"{name}.npy")), allow_pickle=False
                )
                for name in _ARRAYS
            }
            head = json.loads(archive.read("table.json"))
    except (zipfile.BadZipFile, KeyError, ValueError, EOFError) as error:
        raise EngineError("These bytes are not a stored note table.") from error
    if head.get("version") != VERSION or arrays["notes"].dtype != NOTE:
        raise EngineError("This note table was stored by another version; read the score again.")
    return _table(head, arrays)


def _entry(name: str) -> zipfile.ZipInfo:
    # A fixed date keeps equal tables equal, byte for byte.
    entry = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
    entry.compress_type = zipfile.ZIP_DEFLATED
    return entry


def _head(table: ScoreTable) -> dict[str, Any]:
    return {
        "version": VERSION,
        "title": table.title,
        "sha256": table.sha256,
        "movements": _rows(table.movements),
        "parts": _rows(table.parts),
        "bars": _rows(table.bars),
        "lines": _rows(table.lines),
        "marks": _rows(table.marks),
        "warnings": _rows(table.warnings),
        "order": table.order,
        "ids": table.ids,
    }


def _rows(items: Sequence[Any]) -> list[tuple[Any, ...]]:
    return [astuple(item) for item in items]


def _build(kind: type[T], rows: Sequence[Sequence[Any]]) -> tuple[T, ...]:
    """Records from rows of values in the order of the fields; lists become tuples."""
    names = [f.name for f in fields(kind)]  # type: ignore[arg-type]
    return tuple(
        kind(**{
            name: tuple(value) if isinstance(value, list) else value
            for name, value in zip(names, row, strict=True)
        })
        for row in rows
    )  # fmt: skip


def _table(head: Mapping[str, Any], arrays: Mapping[str, Any]) -> ScoreTable:
    parts = [
        [Doubt(*value) if name == "doubt" and value else value
         for name, value in zip(_PART_FIELDS, row, strict=True)]
        for row in head["parts"]
    ]  # fmt: skip
    return ScoreTable(
        title=head["title"],
        sha256=head["sha256"],
        movements=_build(Movement, head["movements"]),
        parts=_build(PartReading, parts),
        bars=_build(Bar, head["bars"]),
        lines=_build(Line, head["lines"]),
        marks=_build(Mark, head["marks"]),
        warnings=_build(Notice, head["warnings"]),
        order=tuple((bar, number) for bar, number in head["order"]),
        ids=tuple(head["ids"]),
        notes=arrays["notes"],
        continuations=arrays["continuations"],
    )


_PART_FIELDS = [f.name for f in fields(PartReading)]
