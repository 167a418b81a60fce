"""Figures by work, and what a predictor that always says the same would reach."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from tests.corpora import CHECKOUT, corpora_dir

JSON = dict[str, Any]
CLASSES = ("melody", "rhythm", "harmony")


def score(corpus: Path, predictions: Path, result: Path, ids: Sequence[str] = ()) -> JSON:
    """`orcheval score` in a process of its own; its result."""
    paths = [str(corpus), str(corpora_dir() / "eval")]
    command = [sys.executable, "-m", "orcheval", "score", "--data", str(corpus / "data")]
    command += ["--pred", str(predictions), "--json", str(result)]
    command += ["--ids", ",".join(ids)] if ids else []
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(paths)}
    subprocess.run(command, cwd=CHECKOUT, env=environment, check=True)
    return read(result)


def read(path: Path) -> JSON:
    value: JSON = json.loads(path.read_text(encoding="utf-8"))
    return value


def work_of(name: str, corpus: str) -> str:
    """The work a movement belongs to, as the training record names it."""
    return name[:2] if corpus == "s3" else name.rpartition("_")[0]


def add_works(corpus: Path, predictions: Path, result: JSON) -> None:
    """Write "works" into each set of `result`: pooled figures by work.

    A work with one movement has the figures of that; movements of the others are scored together.
    """
    for name, scored in result.items():
        members: dict[str, list[str]] = {}
        for movement in scored["movements"]:
            members.setdefault(work_of(movement, name), []).append(movement)
        scored["works"] = {}
        for work, ids in members.items():
            if len(ids) == 1:
                scored["works"][work] = dict(scored["movements"][ids[0]])
                continue
            with tempfile.TemporaryDirectory() as folder:
                whole = score(corpus, predictions, Path(folder) / "work.json", ids)
            scored["works"][work] = whole[name]["pooled"]


def best_constant(spans: Iterable[Sequence[Any]]) -> tuple[float, float]:
    """Annotated time of the commonest value of (start, end, value, ...), and of all."""
    time: dict[Any, float] = {}
    for start, end, value, *_ in spans:
        time[value] = time.get(value, 0.0) + end - start
    return max(time.values(), default=0.0), sum(time.values())


def constant_roles(reference: Sequence[Sequence[Any]]) -> float:
    """Macro F1 of naming all three roles in every cell, the best that one answer can reach."""
    cells = max(len(reference), 1)
    share = [sum(c in roles for _, _, roles in reference) / cells for c in CLASSES]
    return sum(2 * p / (1 + p) for p in share) / len(CLASSES)


def add_constants(corpus: Path, result: JSON) -> None:
    """Write "constant" beside roles, keys and melody of every movement, work and pool.

    Key and leading part may be another constant in each movement, so several are added up.
    """
    for name, scored in result.items():
        references = {
            m: read(corpus / "data" / name / f"{m}.ref.json") for m in scored["movements"]
        }
        groups = {m: [m] for m in references}
        _put(scored["movements"], groups, references)
        works: dict[str, list[str]] = {}
        for m in references:
            works.setdefault(work_of(m, name), []).append(m)
        _put(scored.get("works", {}), works, references)
        _put({"all": scored["pooled"]}, {"all": list(references)}, references)


def _put(figures: JSON, groups: dict[str, list[str]], references: dict[str, JSON]) -> None:
    for name, found in figures.items():
        mine = [references[m] for m in groups[name]]
        if "roles" in found:
            cells = [row for r in mine for row in r.get("roles", [])]
            found["roles"]["constant"] = constant_roles(cells)
        for kind in ("keys", "melody"):
            if kind in found:
                best = [best_constant(r[kind]) for r in mine if kind in r]
                found[kind]["constant"] = sum(b for b, _ in best) / max(
                    sum(t for _, t in best), 1e-9
                )


#: what is compared with the constant: kind, figure, words
_COMPARED = (
    ("roles", "macro_f1", "Roles", "all three roles everywhere"),
    ("keys", "exact", "Keys", "one key in each movement"),
    ("melody", "top", "Main melody", "one part in each movement"),
)


def below_constant(result: JSON) -> list[str]:
    """Sentences about works in which something is no better than always saying the same.

    Keys also by movement: a movement has its own key, and so its own best constant.
    """
    bad = []
    for name, scored in result.items():
        for kind, figure, words, constant in _COMPARED:
            places = dict(scored.get("works", {}))
            if kind == "keys":
                places |= scored.get("movements", {})
            for place, figures in places.items():
                found = figures.get(kind, {})
                if "constant" in found and found[figure] <= found["constant"]:
                    bad.append(
                        f"{words} of {place} ({name}): {found[figure]:.3f} is not above "
                        f"{constant}, {found['constant']:.3f}."
                    )
    return bad
