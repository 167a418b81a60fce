"""Labelled cells of the open corpora, for training and for figures on works left out.

Answers are read here and nowhere in the engine itself; scores go through the
same gate and reader as any upload.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from analysis.engine import gate, reader
from analysis.engine.analyses.role_cells import Bools, Floats, Ints, grid
from analysis.engine.analyses.role_features import Measured, measure
from analysis.engine.analyses.role_model import CLASSES
from analysis.engine.analyses.role_second import Company, company
from analysis.engine.model import ScoreTable

#: Corpora with role labels -> folders of scores below CORPORA.
ROLE_CORPORA = {"s3": "eval/scores_roles_keys", "textures": "scores"}


@dataclass(frozen=True)
class Labelled:
    """One movement with its labelled cells.

    Attributes
    ----------
    cells : int64, shape (n, 2)
        (line, bar) of every labelled cell; a part read as two lines gives two.
    labels : bool, shape (n, 3)
        In the order of `CLASSES`.
    """

    id: str
    corpus: str
    work: str
    measured: Measured
    company: Company
    cells: Ints
    labels: Bools

    @property
    def values(self) -> Floats:
        chosen: Floats = self.measured.values[self.cells[:, 0], self.cells[:, 1]]
        return chosen


def corpora_dir() -> Path:
    """The folder CORPORA names, by default ``shared`` beside the checkout."""
    named = os.environ.get("CORPORA")
    return Path(named) if named else Path(__file__).resolve().parents[4] / "shared"


def read_table(path: Path) -> ScoreTable:
    """A score file through gate and reader."""
    return reader.read(gate.admit(path.read_bytes(), path.name).canonical)


def labelled(root: Path) -> Iterator[Labelled]:
    """Every movement of `ROLE_CORPORA`, by corpus and name."""
    for corpus, folder in ROLE_CORPORA.items():
        for answers in sorted((root / "eval" / "data" / corpus).glob("*.ref.json")):
            name = answers.name.removesuffix(".ref.json")
            rows = json.loads(answers.read_text(encoding="utf-8"))["roles"]
            table = read_table(root / folder / f"{name}.mxl")
            yield _label(name, corpus, table, rows)


def work_of(name: str, corpus: str) -> str:
    """The work a movement belongs to; movements of one work stay together."""
    return name[:2] if corpus == "s3" else name.rpartition("_")[0]


def _label(
    name: str, corpus: str, table: ScoreTable, rows: list[tuple[int, int, list[str]]]
) -> Labelled:
    values, there, doubled, companies = [], [], [], []
    for movement in table.movements:
        cells_of = grid(table, movement)
        measured = measure(cells_of, table.lines)
        companies.append(company(cells_of, measured, table.lines))
        values.append(measured.values)
        there.append(measured.there)
        doubled.append(measured.doubled)
    whole = Measured(
        np.concatenate(values, axis=1), np.concatenate(there, axis=1), np.concatenate(doubled)
    )
    joined = Company(
        np.concatenate([c.fellows for c in companies]),
        companies[0].family,
        np.concatenate([c.group for c in companies], axis=1),
        companies[0].orchestra,
        np.concatenate([c.alike for c in companies], axis=1),
    )
    of_part: dict[int, list[int]] = {}
    for each in table.lines:
        of_part.setdefault(each.part, []).append(each.index)
    cells, labels = [], []
    for bar, part, roles in rows:
        for line in of_part.get(part, []):
            if bar <= whole.there.shape[1] and whole.there[line, bar - 1]:
                cells.append((line, bar - 1))
                labels.append([c in roles for c in CLASSES])
    return Labelled(
        name,
        corpus,
        work_of(name, corpus),
        whole,
        joined,
        np.array(cells, dtype=np.int64).reshape(-1, 2),
        np.array(labels, dtype=bool).reshape(-1, len(CLASSES)),
    )
