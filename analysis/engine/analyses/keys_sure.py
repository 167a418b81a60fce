"""How sure a key is: the panel's probability, calibrated against annotated keys."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses.keys_path import AGREED, Costs

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_CLIP = (0.02, 0.98)  # probabilities outside say no more than this
_CEILING = 0.97  # no key is surer than this; human readers differ more often
_AROUND = 2  # bars before and after that a bar's probability is averaged with


@dataclass(frozen=True, slots=True)
class Chosen:
    """What was chosen with annotated keys in view (`analysis.engine.training.keys`).

    Attributes
    ----------
    costs : Costs
        Of a change in the agreed path.
    calibration : (a, b, c)
        Probability that a bar is in the key of its region, as
        1 / (1 + exp(-(a + b * logit(probability over five bars) + c * log(bars of region)))).
    """

    costs: Costs
    calibration: tuple[float, float, float]


#: From all annotated bars of S3.
SHIPPED = Chosen(AGREED, (-3.37, 1.21, 1.33))


def from_json(value: Mapping[str, Any]) -> Chosen:
    """What the training wrote for a work left out."""
    a, b, c = value["calibration"]
    return Chosen(replace(AGREED, change=value["change"]), (a, b, c))


def confidence(
    probable: Floats, bars: Floats, calibration: tuple[float, float, float] = SHIPPED.calibration
) -> Floats:
    """Calibrated probability by bar; see `Chosen`.

    Parameters
    ----------
    probable : ndarray, shape (n,)
        Of the region's key, averaged over the bars around.
    bars : ndarray, shape (n,)
        Length of the region.
    calibration : tuple of float
    """
    odds = calibration[0] + measures(probable, bars) @ np.array(calibration[1:])
    result: Floats = np.minimum(_CEILING, 1 / (1 + np.exp(-odds)))
    return result


def measures(probable: Floats, bars: Floats) -> Floats:
    """The two columns that are weighed: log odds of the probability, log of the length."""
    q = np.clip(probable, *_CLIP)
    columns: Floats = np.stack([np.log(q / (1 - q)), np.log(bars)], axis=-1)
    return columns


def surroundings(path: Ints, probable: Floats) -> tuple[Floats, Floats]:
    """Probability of each bar's key over the bars around, and the length of its region."""
    near = np.array(
        [probable[max(0, i - _AROUND) : i + _AROUND + 1, k].mean() for i, k in enumerate(path)]
    )
    cuts = [0, *(np.flatnonzero(np.diff(path)) + 1).tolist(), len(path)]
    length = np.concatenate([np.full(b - a, b - a, dtype=np.float64) for a, b in pairwise(cuts)])
    return near, length
