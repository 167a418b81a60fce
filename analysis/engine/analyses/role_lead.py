"""How likely each line leads, that is carries the one main melody of the bar.

Other than the role "melody", which several lines may have at once, this asks for the line a
listener follows. The trees were trained on annotations of the main melody in 11 works
(`lead_weights.json`, `record`; `analysis.engine.training.lead`). Notes alone enter: no dynamics,
words or slurs.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from analysis.engine.analyses import lead_entries, role_features, role_trees, role_wider
from analysis.engine.analyses.role_cells import Floats, Grid
from analysis.engine.analyses.role_features import Measured
from analysis.engine.analyses.role_trees import Trees
from analysis.engine.errors import EngineError
from analysis.engine.model import Line

FILE = Path(__file__).with_name("lead_weights.json")
#: Columns the trees of the group look at, and those of the one that comes first.
FEATURES: tuple[str, ...] = (*role_features.NAMES, *role_wider.NAMES)
FIRST: tuple[str, ...] = (*FEATURES, *lead_entries.NAMES)
_LIMIT = 6.0  # log odds beyond this are not believed


@dataclass(frozen=True)
class LeadModel:
    """Two sets of trees.

    Attributes
    ----------
    group : Trees
        Whether the line is the main one or doubles it.
    first : Trees
        Which of the lines of a bar is the main one.
    record : mapping
        Where they come from.
    """

    group: Trees
    first: Trees
    record: Mapping[str, Any]


@dataclass(frozen=True)
class Lead:
    """By line and bar.

    Attributes
    ----------
    group : float64, shape (lines, bars)
        Log odds that the line is among the leading ones.
    first : float64, shape (lines, bars)
        Log probability that it leads, up to a constant for each bar.
    """

    group: Floats
    first: Floats


def from_json(value: Mapping[str, Any]) -> LeadModel:
    """Build the model from its stored form; EngineError if it belongs to other features."""
    if tuple(value["features"]) != FIRST:
        raise EngineError("The stored trees belong to other features; train them again.")
    group = role_trees.from_json(value["group"], len(FEATURES))
    first = role_trees.from_json(value["first"], len(FIRST))
    return LeadModel(group, first, value["record"])


@cache
def shipped() -> LeadModel:
    """The model in the package."""
    return from_json(json.loads(FILE.read_text(encoding="utf-8")))


def wider(cells: Grid, measured: Measured, lines: tuple[Line, ...]) -> Floats:
    """The values of `FEATURES` in every cell, shape (lines, bars, features)."""
    columns = {name: measured.values[..., k] for k, name in enumerate(role_features.NAMES)}
    rhythm, _ = role_features.prints(cells)
    role_wider.add(columns, cells, lines, measured.there, measured.doubled, rhythm)
    values = np.nan_to_num(np.stack([columns[name] for name in FEATURES], axis=-1))
    # sums of the same numbers in another order must not fall on the other side of a limit
    return np.asarray(np.round(values, 9))


def lead(
    cells: Grid, measured: Measured, lines: tuple[Line, ...], model: LeadModel | None = None
) -> Lead:
    """Apply the trees to a movement; lines that rest are as unlikely as can be."""
    model = model or shipped()
    there = measured.there
    out = np.full((2, *there.shape), -_LIMIT)
    if there.any():
        values = wider(cells, measured, lines)[there]
        out[0][there] = np.clip(model.group.sums(values), -_LIMIT, _LIMIT)
        values = np.concatenate([values, lead_entries.measure(cells)[there]], axis=-1)
        out[1][there] = model.first.sums(values)
    return Lead(out[0], out[1])
