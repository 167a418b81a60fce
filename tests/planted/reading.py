"""Files of planted statements: read, checked, turned into scores and claims."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from analysis.engine import claims
from analysis.engine.analyses import analyse
from analysis.engine.model import ScoreTable
from tests.engine.claims.cases import worded
from tests.engine.tables import table

FOLDER = Path(__file__).parent.parent / "data" / "planted"
TRUTHS = ("true", "false", "doubtful")
FLAGS = ("agrees", "partly", "conflicts", "ear")


class PlantedError(Exception):
    """A file that cannot be read: the sentence says where, and what should stand there."""


@dataclass(frozen=True)
class Planted:
    """One statement. `expected`: the flags that would be right, by the contract alone."""

    name: str
    score: str
    claim: Mapping[str, Any]
    truth: str
    expected: tuple[str, ...]
    cause: str | None
    why: str


@dataclass(frozen=True)
class Sheet:
    """One file: statements of one kind, and the scores they are about."""

    kind: str
    by: str
    scores: Mapping[str, ScoreTable]
    statements: tuple[Planted, ...]


def sheets(folder: Path = FOLDER, kinds: Sequence[str] = ()) -> list[Sheet]:
    """All files of a folder, or those of some kinds, by name."""
    found = sorted(folder.glob("*.json"))
    if missing := set(kinds) - {p.stem for p in found}:
        raise PlantedError(f"There is no {min(missing)}.json in {folder.name}.")
    return [read_sheet(path) for path in found if not kinds or path.stem in kinds]


def read_sheet(path: Path) -> Sheet:
    """One file; PlantedError with a sentence if it is not as the README says."""
    try:
        raw = json.loads(path.read_text(encoding="utf-8"))
    except ValueError as error:
        raise PlantedError(f"{path.name} is no JSON: {error}") from None
    kind = path.stem
    if raw.get("kind") != kind or kind not in claims.KINDS:
        raise PlantedError(f"{path.name}: “kind” should be {kind}, a kind of statement.")
    scores = {name: _score(path.name, name, value) for name, value in raw["scores"].items()}
    statements = tuple(_statement(path.name, n, kind, value, scores)
                       for n, value in enumerate(raw["statements"], 1))  # fmt: skip
    return Sheet(kind, str(raw.get("by", "")), scores, statements)


def _score(file: str, name: str, value: Mapping[str, Any]) -> ScoreTable:
    try:
        lines = {label: _line(text) for label, text in value["lines"].items()}
        made = table(
            lines,
            time=value.get("time", "4/4"),
            pickup=value.get("pickup", 0),
            transpose=value.get("transpose"),
        )
        labels = {b.label: b.index for b in reversed(made.bars)}
        words = [(part, labels[str(bar)], beat, text)
                 for part, bar, beat, text in value.get("words", ())]  # fmt: skip
        return worded(made, *words) if words else made
    except (KeyError, ValueError, TypeError) as error:
        raise PlantedError(f"{file}, score {name}: {error}") from error


def _line(text: Any) -> str:
    """A line as one string, or as a list of strings and [string, times]."""
    if isinstance(text, str):
        return text
    pieces = [p if isinstance(p, str) else " | ".join([p[0]] * p[1]) for p in text]
    return " | ".join(pieces)


def _statement(
    file: str, number: int, kind: str, value: Mapping[str, Any], scores: Mapping[str, ScoreTable]
) -> Planted:
    where = f"{file}, statement {number}"
    expected = value.get("expected", ())
    expected = (expected,) if isinstance(expected, str) else tuple(expected)
    if value.get("score") not in scores:
        raise PlantedError(f"{where}: there is no score {value.get('score')!r}.")
    if value.get("truth") not in TRUTHS:
        raise PlantedError(f"{where}: “truth” should be one of {', '.join(TRUTHS)}.")
    if not expected or not set(expected) <= set(FLAGS):
        raise PlantedError(f"{where}: “expected” should name flags: {', '.join(FLAGS)}.")
    if not value.get("why"):
        raise PlantedError(f"{where}: “why” should say what in the notes makes it so.")
    claim = {"id": number, "kind": kind, **value["claim"]}
    return Planted(
        f"{kind} {number}", value["score"], claim, value["truth"], expected, value.get("cause"),
        value["why"],
    )  # fmt: skip


def answers(sheet: Sheet) -> list[tuple[Planted, dict[str, Any]]]:
    """Each statement with the checker's answer, held against all findings of its score."""
    scenes = {name: claims.make_scene(made, analyse(made)) for name, made in sheet.scores.items()}
    return [(s, claims.answer_in(scenes[s.score], s.claim).as_dict()) for s in sheet.statements]
