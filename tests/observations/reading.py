"""The list of observations, its pieces, and the checker's answers."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from analysis.engine import claims, gate
from analysis.engine.analyses import analyse
from analysis.engine.claims.base import Scene
from analysis.engine.reader import read
from tests.engine.written import table
from tests.observations.pieces import EXCERPTS

HERE = Path(__file__).resolve()
FOLDER = HERE.parents[1] / "data" / "observations"
DEMO = HERE.parents[2] / "demo" / "piece"
FLAGS = frozenset({"agrees", "partly", "conflicts", "ear"})


@dataclass(frozen=True)
class Statement:
    """One way of saying an observation, rightly or wrongly, and the flags that would be right."""

    number: int
    label: str
    right: bool
    nth: int  # among those of its side, from 1
    piece: str
    claim: Mapping[str, Any]
    expected: frozenset[str]
    cause: str | None
    why: str
    differs: str | None
    corrected: str | None

    @property
    def name(self) -> str:
        return f"{self.number}-{'right' if self.right else 'wrong'}-{self.nth}"


@cache
def statements() -> tuple[Statement, ...]:
    """All of the list, by number."""
    rows = [
        row
        for path in FOLDER.glob("*.json")
        for row in json.loads(path.read_text(encoding="utf-8"))["observations"]
    ]
    return tuple(
        _statement(row, side, nth, raw)
        for row in sorted(rows, key=lambda row: row["number"])
        for side in ("right", "wrong")
        for nth, raw in enumerate(row[side], 1)
    )


def _statement(row: Mapping[str, Any], side: str, nth: int, raw: Mapping[str, Any]) -> Statement:
    expected = raw["expected"]
    return Statement(
        row["number"], row["label"], side == "right", nth, raw.get("piece", row["piece"]),
        raw["claim"], frozenset({expected} if isinstance(expected, str) else expected),
        raw.get("cause"), raw["why"], raw.get("differs"), raw.get("corrected"),
    )  # fmt: skip


@cache
def scene(piece: str) -> Scene:
    """The reading of a movement of the demo piece or of an excerpt, as any upload is read."""
    if piece.startswith("demo-"):
        path = DEMO / f"movement-{piece.removeprefix('demo-')}.musicxml"
        made = read(gate.admit(path.read_bytes(), path.name).canonical)
    else:
        excerpt = EXCERPTS[piece]()
        made = table(*excerpt.parts, time=excerpt.time)
    return claims.make_scene(made, analyse(made))


def answer(statement: Statement) -> dict[str, Any]:
    """What the checker says."""
    return claims.answer_in(
        scene(statement.piece), {"id": statement.name, **statement.claim}
    ).as_dict()
