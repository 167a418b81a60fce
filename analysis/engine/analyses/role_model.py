"""The trained model behind the roles: nets kept as JSON, applied with numpy alone.

The first look is a small net over the measures of a cell, which says how likely each of three
broad classes is (melody, rhythm, harmony; a cell may have several); another says how likely the
line leads. A second look (`role_second`) judges the cell by what the first one found in its
company; the trees of the main melody weigh in on "melody". Lines that go together share the mean
of their log odds, so do the bars around, and a bar without a likely melody gives the likeliest of
its lines a little more. The logistic function turns the sum into a probability.

One model serves both conventions of the labelled corpora, without a switch; the second look sees
the orchestra, which tells the repertoires apart as far as a score can.

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

from analysis.engine.analyses import role_lead, role_net, role_second
from analysis.engine.analyses.attacks import memo
from analysis.engine.analyses.role_cells import Bools, Floats, Grid, grid
from analysis.engine.analyses.role_features import NAMES, Measured, measure
from analysis.engine.analyses.role_lead import Lead, LeadModel
from analysis.engine.analyses.role_net import Net
from analysis.engine.analyses.role_second import FIRST, MIXTURES, Company
from analysis.engine.errors import EngineError
from analysis.engine.model import Movement, ScoreTable

#: The broad classes, as the open corpora label them.
CLASSES = role_second.CLASSES

_FILE = Path(__file__).with_name("role_weights.json")
_LIMIT = 6.0  # log odds beyond this are not believed
#: Weight of the trees of the main melody in the odds of "melody", and what is added to theirs:
#: the role is given to more lines than the lead. With works left out more did better on S3 and less
#: on the textures.
_LEADS, _MORE = 0.35, 0.6
_SECOND = 0.7  # weight of the second look against the first; 1 did about as well
#: Most bars have a melody (95 % of S3, 67 % of the textures): where the likeliest line stays below
#: these log odds, it gains so much of what is missing, at most `_RAISED` in all, and lines up to
#: `_BEHIND` less likely the less of it.
_EXPECTED, _GAIN, _RAISED, _BEHIND = 0.3, 0.4, 1.2, 2.0
_FEW = 2  # of so few lines one always leads, which tells nothing about its role


@dataclass(frozen=True)
class RoleModel:
    """The nets and what goes with them.

    Attributes
    ----------
    first, leads : tuple of Net
        The first look: log odds of `CLASSES`, and of leading, from `role_features.NAMES`.
    second : tuple of Net
        The second look: of `role_second.MIXTURES`, from `role_second.NAMES`.
    thresholds : float64, shape (3,)
        Probability from which a class is named.
    around : float
        Weight of the mean over neighbouring bars, 0..1.
    reach : int
        Bars before and after that count as neighbours.
    record : mapping
        Where the weights come from.
    """

    first: tuple[Net, ...]
    leads: tuple[Net, ...]
    second: tuple[Net, ...]
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
    kept = tuple(value["features"]), tuple(value["views"]), tuple(value["mixtures"])
    if kept != (NAMES, role_second.NAMES, MIXTURES):
        raise EngineError("The stored role weights belong to other features; train them again.")

    def nets(of: str, inputs: int, outputs: int) -> tuple[Net, ...]:
        return tuple(role_net.from_json(net, inputs, outputs) for net in value[of])

    return RoleModel(
        first=nets("first", len(NAMES), len(CLASSES)),
        leads=nets("leads", len(NAMES), 1),
        second=nets("second", len(role_second.NAMES), len(MIXTURES)),
        thresholds=np.array([value["thresholds"][c] for c in CLASSES]),
        around=float(value["around"]),
        reach=int(value["reach"]),
        record=value["record"],
    )


def log_odds(measured: Measured, model: RoleModel) -> Floats:
    """Log odds of `FIRST` by cell, from the cell alone, shape (lines, bars, 4)."""
    out = np.zeros((*measured.there.shape, len(FIRST)))
    if measured.there.any():
        values = measured.values[measured.there]
        said = [role_net.chances(nets, values) for nets in (model.first, model.leads)]
        out[measured.there] = role_net.log_odds(np.concatenate(said, axis=1))
    return out


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
    missing = np.where(few, 0.0, np.clip(_GAIN * (_EXPECTED - likeliest), 0.0, _RAISED))
    odds[..., 0] += missing * np.clip(1 - (likeliest - odds[..., 0]) / _BEHIND, 0.0, 1.0)
    chance: Floats = np.where(measured.there[..., None], 1 / (1 + np.exp(-odds)), 0.0)
    return chance


def in_context(odds: Floats, measured: Measured, with_whom: Company, model: RoleModel) -> Floats:
    """Share log odds among lines that go together, then with the bars around."""
    shared = role_second.among(np.where(measured.there[..., None], odds, 0.0), with_whom.fellows)
    near = role_second.around(shared, measured.there, model.reach)
    mixed: Floats = (1 - model.around) * shared + model.around * near
    return mixed


def single(named: Bools, there: Bools) -> Bools:
    """Single bars in which a line has the melody, though it plays without it before and after.

    Tunes are longer. A bar beside a rest stays: it may be a call or an answer.
    """
    if there.shape[1] < 2:
        return np.zeros_like(named)
    without = np.pad(there & ~named, ((0, 0), (1, 1)), constant_values=True)
    apart: Bools = named & without[:, :-2] & without[:, 2:]
    return apart


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
    named = probability >= model.thresholds
    named[..., 0] &= ~single(named[..., 0], measured.there)
    return Estimate(cells, measured, probability, named, lead)


def prefer(table: ScoreTable, model: RoleModel | None, leads: LeadModel | None = None) -> None:
    """Use these instead of the shipped ones in every later estimate of this table.

    For figures on works that the shipped weights have seen; the site never does this.
    """
    model = model or shipped()
    for movement in table.movements:
        found = estimate(table, movement, model, leads)
        table.__dict__[f"_roles_{movement.index}"] = found
