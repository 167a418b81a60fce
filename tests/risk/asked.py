"""The checker asked about the statements of one movement, by models that have not seen its work."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from analysis.engine import claims, gate, reader
from analysis.engine.analyses import analyse, keys_regions, role_model
from analysis.engine.claims.base import Scene
from analysis.engine.model import ScoreTable
from analysis.engine.predict import left_out
from analysis.engine.settings import Settings
from tests.risk.curve import GRID, Flagged
from tests.risk.stated import Stated, key_statements, role_statements, route_statements

#: corpora with roles or keys -> folder of their scores below CORPORA
CORPORA = {"s3": "eval/scores_roles_keys", "textures": "scores"}

#: kinds that are flagged from the general threshold on
GENERAL = ("key-route",)


def movements(shared: Path, only: str = "") -> list[tuple[str, Path, Path]]:
    """(corpus, score, answers) of every movement with an answer."""
    return [
        (name, shared / folder / f"{answers.name.removesuffix('.ref.json')}.mxl", answers)
        for name, folder in CORPORA.items()
        for answers in sorted((shared / "eval" / "data" / name).glob("*.ref.json"))
        if answers.name.startswith(only)
    ]


def confirmed(path: Path) -> ScoreTable:
    """The score with all parts as proposed, as if the tutor had confirmed them."""
    table = reader.read(gate.admit(path.read_bytes(), path.name).canonical)
    return replace(table, parts=tuple(replace(part, doubt=None) for part in table.parts))


def ask(
    path: Path, answers: Path, weights: Path | None, kinds: Sequence[str] = ()
) -> list[Flagged]:
    """Flags of all statements about one movement, at every threshold of the grid.

    `weights`: a folder of models by work left out; None: the shipped ones. `kinds`: only these.
    """
    table = confirmed(path)
    others = left_out(path.stem, weights)
    if others and (others.roles or others.leads):
        role_model.prefer(table, others.roles, others.leads)
    if others and others.keys:
        keys_regions.prefer(table, others.keys)
    found = analyse(table, Settings())
    known = json.loads(answers.read_text(encoding="utf-8"))
    stated = [*role_statements(table, known.get("roles", ())),
              *key_statements(table, known.get("keys", ())),
              *route_statements(table, known.get("keys", ()))]  # fmt: skip
    stated = [one for one in stated if not kinds or one.kind in kinds]
    usual, general = (
        {least: claims.make_scene(table, found, _settings(least, own)) for least in GRID}
        for own in (True, False)
    )
    return [
        _flagged(path.stem, number, one, general if one.kind in GENERAL else usual)
        for number, one in enumerate(stated)
    ]


def _settings(least: float, own: bool) -> Settings:
    """The thresholds of roles and keys moved (`own`), the general one kept; or that one moved.

    Of a route the rule itself looks at the threshold of conflicts, so there that one is kept.
    """
    if not own:
        return Settings(min_confidence=least)
    return Settings(min_confidence=max(Settings().min_confidence, least), role_confidence=least,
                    key_confidence=least, conflict_confidence=0.0)  # fmt: skip


def _flagged(movement: str, number: int, one: Stated, scenes: dict[float, Scene]) -> Flagged:
    """One statement at every threshold; asked again only where a reading may come or go."""
    claim = {"id": number, **one.claim}
    said = {GRID[0]: claims.answer_in(scenes[GRID[0]], claim)}
    first = said[GRID[0]]
    for least in GRID[1:]:
        if first.cause is not None or one.kind in GENERAL:  # a route is laid as it is sure
            said[least] = claims.answer_in(scenes[least], claim)
        else:
            unsure = first.confidence < least
            said[least] = replace(first, flag="ear") if unsure else first
    if any(answer.cause == "not-understood" for answer in said.values()):
        raise ValueError(f"{movement}: the checker does not understand {one.claim}.")
    return Flagged(
        one.kind, one.sort, one.true, movement,
        {least: answer.flag for least, answer in said.items()},
        {least: answer.confidence for least, answer in said.items()},
    )  # fmt: skip
