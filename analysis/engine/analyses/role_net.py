"""Small nets kept as plain arrays: a layer of rectified units, then log odds.

Trained elsewhere (`analysis.engine.training.roles`), stored as JSON, applied with numpy alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.engine.analyses.role_cells import Floats
from analysis.engine.errors import EngineError

_LEAST = 0.005  # added to a chance and to its opposite, so that no log odds run away
_BLOCK = 1024  # rows taken at once, to spare memory


@dataclass(frozen=True)
class Net:
    """One net.

    Attributes
    ----------
    middle, deviation : float64, shape (inputs,)
        Of the columns trained with.
    low, high : float64, shape (inputs,)
        What is taken for values beyond: the net knows nothing outside of what it was trained with.
    layers : tuple of (weights, shifts)
        Shapes (inputs, units), (units,) ...; all but the last are rectified.
    """

    middle: Floats
    deviation: Floats
    low: Floats
    high: Floats
    layers: tuple[tuple[Floats, Floats], ...]

    def scaled(self, values: NDArray[np.floating[Any]]) -> Floats:
        """Rows of measures as the first layer takes them."""
        inside = np.clip(values, self.low, self.high)
        return np.asarray((inside - self.middle) / self.deviation, dtype=np.float64)

    def sums(self, values: NDArray[np.floating[Any]]) -> Floats:
        """What the last layer says of each row, shape (n, outputs)."""
        out = np.zeros((len(values), self.layers[-1][1].size))
        for first in range(0, len(values), _BLOCK):
            rows = slice(first, first + _BLOCK)
            units = self.scaled(values[rows])
            for k, (weights, shifts) in enumerate(self.layers):
                units = (np.maximum(units, 0.0) if k else units) @ weights + shifts
            out[rows] = units
        return out


def chances(nets: Sequence[Net], values: NDArray[np.floating[Any]]) -> Floats:
    """Mean chance over nets whose outputs are log odds, each by itself, shape (n, outputs)."""
    said = [1 / (1 + np.exp(-net.sums(values))) for net in nets]
    return np.asarray(np.mean(said, axis=0), dtype=np.float64)


def shares(nets: Sequence[Net], values: NDArray[np.floating[Any]]) -> Floats:
    """Mean chance over nets whose outputs exclude each other, shape (n, outputs)."""
    total = np.zeros((len(values), nets[0].layers[-1][1].size))
    for net in nets:
        sums = net.sums(values)
        raised = np.exp(sums - sums.max(axis=1, keepdims=True))
        total += raised / raised.sum(axis=1, keepdims=True)
    return total / len(nets)


def log_odds(chance: Floats) -> Floats:
    """Log odds of chances, none beyond about five."""
    return np.asarray(np.log((chance + _LEAST) / (1 - chance + _LEAST)), dtype=np.float64)


def as_json(net: Net) -> dict[str, Any]:
    """The stored form; `from_json` reads it."""
    return {
        "middle": _rounded(net.middle),
        "deviation": _rounded(net.deviation),
        "low": _rounded(net.low),
        "high": _rounded(net.high),
        "layers": [{"weights": [_rounded(row) for row in w], "shifts": _rounded(b)}
                   for w, b in net.layers],
    }  # fmt: skip


def _rounded(row: Floats) -> list[float]:
    return [float(f"{x:.5g}") for x in row.tolist()]


def from_json(stored: Mapping[str, Any], inputs: int, outputs: int) -> Net:
    """Build a net from its stored form; EngineError if it is of another shape."""
    columns = [np.asarray(stored[k], np.float64) for k in ("middle", "deviation", "low", "high")]
    layers = tuple(
        (np.asarray(layer["weights"], np.float64), np.asarray(layer["shifts"], np.float64))
        for layer in stored["layers"]
    )
    fits = all(column.shape == (inputs,) for column in columns) and bool((columns[1] > 0).all())
    size = inputs
    for weights, shifts in layers:
        fits = fits and weights.shape == (size, shifts.size) and shifts.ndim == 1
        size = shifts.size
    numbers = [*columns, *(part for layer in layers for part in layer)]
    fits = fits and bool(layers) and size == outputs and all(np.isfinite(x).all() for x in numbers)
    if not fits:
        raise EngineError("The stored nets are damaged or belong to other features.")
    middle, deviation, low, high = columns
    return Net(middle, deviation, low, high, layers)
