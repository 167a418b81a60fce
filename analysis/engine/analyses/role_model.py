"""The scored model behind the roles: weights kept as JSON, applied with numpy alone.

The first look is a card of points. Every measured feature has up to four
steps; a cell collects the points of the steps it passes, for each of three
broad classes (melody, rhythm, harmony; a cell may have several), and for
leading. `explain` gives the points back. A second look (`role_second`) judges
the cell by what the first one found in its company; the trees of the main
melody weigh in on "melody". Lines that go together share the mean of their log
odds, so do the bars around, and a bar without a likely melody gives the
likeliest of its lines a little more. The logistic function turns the sum into
a probability.

One model serves both conventions of the labelled corpora: a column that told
them apart gained nothing on works left out.

The weights come from ``python -m analysis.engine.training.roles``; the file
holds its own training record: date, command, works seen, figures with whole
works left out.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from analysis.engine.analyses import role_lead, role_second, role_trees
from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.role_cells import Bools, Floats, Grid, grid
from analysis.engine.analyses.role_features import NAMES, Measured, measure
from analysis.engine.analyses.role_lead import Lead, LeadModel
from analysis.engine.analyses.role_second import FIRST, Company
from analysis.engine.analyses.role_trees import Trees
from analysis.engine.errors import EngineError
from analysis.engine.model import Movement, ScoreTable

#: The broad classes, as the open corpora label them.
CLASSES = ("melody", "rhythm", "harmony")

_FILE = Path(__file__).with_name("role_weights.json")
_LIMIT = 6.0  # log odds beyond this are not believed
#: Weight of the trees of the main melody in the odds of "melody", and what is added to theirs:
#: the role is given to more lines than the lead. With works left out .35 did a little better on S3
#: (melody F1 .722 for .713); at .2 a tune below a busier figure stays the tune.
_LEADS, _MORE = 0.2, 0.6
_SECOND = 0.7  # weight of the second look against the first; .4 to 1 did about as well
#: Most bars have a melody (95 % of S3, 67 % of the textures): where the likeliest line stays below
#: these log odds, all lines gain so much of what is missing, at most `_RAISED` in all.
_EXPECTED, _GAIN, _RAISED = 0.3, 0.4, 1.2
_FEW = 2  # of so few lines one always leads, which tells nothing about its role


@dataclass(frozen=True)
class RoleModel:
    """Points by step.

    Attributes
    ----------
    steps : tuple of float64 arrays, one per feature
        Rising limits; a step is passed where the value lies above it.
    points : float64, shape (1 + all steps, 4)
        Row 0 is where a cell starts; columns as in `role_second.FIRST`.
    second : tuple of Trees
        The second look, by class.
    thresholds : float64, shape (3,)
        Probability from which a class is named.
    around : float
        Weight of the mean over neighbouring bars, 0..1.
    reach : int
        Bars before and after that count as neighbours.
    record : mapping
        Where the weights come from.
    """

    steps: tuple[Floats, ...]
    points: Floats
    second: tuple[Trees, ...]
    thresholds: Floats
    around: float
    reach: int
    record: Mapping[str, Any]


@dataclass(frozen=True)
class Estimate:
    """Probabilities of the broad classes for every cell of a movement.

    Attributes
    ----------
    cells, measured
        What was looked at.
    probability : float64, shape (lines, bars, 3)
        Zero where the line does not sound.
    named : bool, shape (lines, bars, 3)
        At or above the threshold of the class.
    lead : Lead
        Log odds that a line carries the one main melody.
    """

    cells: Grid
    measured: Measured
    probability: Floats
    named: Bools
    lead: Lead


@cache
def shipped() -> RoleModel:
    """The model in the package; EngineError if it does not fit the features."""
    return from_json(json.loads(_FILE.read_text(encoding="utf-8")))


def from_json(value: Mapping[str, Any]) -> RoleModel:
    """Build a model from its stored form."""
    names = tuple(f["name"] for f in value["features"])
    if names != NAMES or tuple(value["views"]) != role_second.NAMES:
        raise EngineError("The stored role weights belong to other features; train them again.")
    steps = tuple(np.array(f["steps"], dtype=np.float64) for f in value["features"])
    rows = [value["start"]] + [row for f in value["features"] for row in f["points"]]
    return RoleModel(
        steps=steps,
        points=np.array(rows, dtype=np.float64),
        second=tuple(
            role_trees.from_json(value["second"][c], len(role_second.NAMES)) for c in CLASSES
        ),
        thresholds=np.array([value["thresholds"][c] for c in CLASSES]),
        around=float(value["around"]),
        reach=int(value["reach"]),
        record=value["record"],
    )


def passed(values: Floats, steps: tuple[Floats, ...]) -> Floats:
    """Which steps each row of `values` passes, with a leading column of ones.

    Parameters
    ----------
    values : ndarray, shape (n, features)

    Returns
    -------
    ndarray, shape (n, 1 + all steps)
        0 or 1.
    """
    above = [values[:, [j]] > limits[None, :] for j, limits in enumerate(steps)]
    first = np.ones((len(values), 1), dtype=bool)
    return np.concatenate([first, *above], axis=1).astype(np.float64)


def log_odds(measured: Measured, model: RoleModel) -> Floats:
    """Log odds of `FIRST` by cell, from the cell alone, shape (lines, bars, 4)."""
    lines, bars, features = measured.values.shape
    out = np.zeros((lines * bars, len(FIRST)))
    there = measured.there.ravel()
    values = measured.values.reshape(-1, features)[there]
    out[there] = passed(values, model.steps) @ model.points
    believed: Floats = np.clip(out, -_LIMIT, _LIMIT).reshape(lines, bars, -1)
    return believed


def chances(
    measured: Measured, with_whom: Company, model: RoleModel, lead: Lead | None = None
) -> Floats:
    """Probability of each class in each cell, shape (lines, bars, 3); without `lead` by the cells.

    Zero where the line does not sound.
    """
    first = log_odds(measured, model)
    second = role_second.look(first, measured, with_whom, model.second)
    odds = (1 - _SECOND) * first[..., : len(CLASSES)] + _SECOND * second
    few = measured.there.sum(axis=0) <= _FEW
    if lead is not None:
        share = np.where(few, 0.0, _LEADS)
        odds[..., 0] = (1 - share) * odds[..., 0] + share * (lead.group + _MORE)
    odds = in_context(odds, measured, with_whom, model)
    likeliest = np.where(measured.there, odds[..., 0], -_LIMIT).max(axis=0, initial=-_LIMIT)
    missing = np.clip(_GAIN * (_EXPECTED - likeliest), 0.0, _RAISED)
    odds[..., 0] += np.where(few, 0.0, missing)
    chance: Floats = np.where(measured.there[..., None], 1 / (1 + np.exp(-odds)), 0.0)
    return chance


def in_context(odds: Floats, measured: Measured, with_whom: Company, model: RoleModel) -> Floats:
    """Share log odds among lines that go together, then with the bars around."""
    shared = role_second.among(np.where(measured.there[..., None], odds, 0.0), with_whom.fellows)
    near = role_second.around(shared, measured.there, model.reach)
    mixed: Floats = (1 - model.around) * shared + model.around * near
    return mixed


def estimate(
    table: ScoreTable,
    movement: Movement,
    model: RoleModel | None = None,
    leads: LeadModel | None = None,
) -> Estimate:
    """Probabilities of the broad classes in one movement; kept with the table.

    Models other than the shipped ones are for figures on works left out.
    """
    if model is None and leads is None:
        return memo(
            table,
            f"_roles_{movement.index}",
            lambda: estimate(table, movement, shipped(), role_lead.shipped()),
        )
    model = model or shipped()
    cells = grid(table, movement)
    measured = measure(cells, table.lines)
    lead = role_lead.lead(cells, measured, table.lines, leads)
    with_whom = role_second.company(cells, measured, table.lines)
    probability = chances(measured, with_whom, model, lead)
    return Estimate(cells, measured, probability, probability >= model.thresholds, lead)


def prefer(table: ScoreTable, model: RoleModel | None, leads: LeadModel | None = None) -> None:
    """Use these instead of the shipped ones in every later estimate of this table.

    For figures on works that the shipped weights have seen; the site never does this.
    """
    model = model or shipped()
    for movement in table.movements:
        found = estimate(table, movement, model, leads)
        table.__dict__[f"_roles_{movement.index}"] = found


def explain(
    measured: Measured, line: int, bar: int, model: RoleModel | None = None
) -> dict[str, dict[str, float]]:
    """Points of one cell in the first look by class and feature, largest first."""
    model = model or shipped()
    row = passed(measured.values[line, bar][None, :], model.steps)[0]
    out: dict[str, dict[str, float]] = {c: {} for c in CLASSES}
    at = 1
    for name, limits in zip(NAMES, model.steps, strict=True):
        gained = row[at : at + len(limits)] @ model.points[at : at + len(limits)]
        at += len(limits)
        for k, label in enumerate(CLASSES):
            if gained[k]:
                out[label][name] = float(gained[k])
    return {c: dict(sorted(p.items(), key=lambda kv: -abs(kv[1]))) for c, p in out.items()}
