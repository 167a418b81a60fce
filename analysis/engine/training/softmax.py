"""Boosted trees that choose one row of a group: of the lines of a bar, the one that leads.

Trees that judge each line by itself learn how often such a line leads; these learn which of
several leads, and spend nothing on bars where all are alike. The loss is the cross entropy of the
softmax over the group. scikit-learn takes a loss of one's own, though its place is private; the
version is bound in `requirements-train.txt`.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from sklearn._loss.loss import HalfSquaredError
from sklearn.ensemble import HistGradientBoostingRegressor

from analysis.engine.analyses.role_cells import Floats, Ints

_LEAST = 1e-6  # curvature where all is sure


class _Chosen(HalfSquaredError):  # type: ignore[misc]
    """Softmax cross entropy over runs of rows; the squared error lends it its links alone."""

    def __init__(self, sizes: Ints) -> None:
        super().__init__()
        self.starts = np.r_[0, np.cumsum(sizes)[:-1]]
        self.group = np.repeat(np.arange(len(sizes)), sizes)
        self.constant_hessian = False

    def fit_intercept_only(self, y_true: Any, sample_weight: Any = None) -> Any:
        return np.zeros(1)  # what is added to all rows of a group changes nothing

    def gradient_hessian(
        self,
        y_true: Any,
        raw_prediction: Any,
        sample_weight: Any = None,
        gradient_out: Any = None,
        hessian_out: Any = None,
        n_threads: int = 1,
    ) -> Any:
        odds = np.asarray(raw_prediction, dtype=np.float64).ravel()
        odds = np.exp(odds - np.maximum.reduceat(odds, self.starts)[self.group])
        chance = odds / np.add.reduceat(odds, self.starts)[self.group]
        weight = 1.0 if sample_weight is None else np.asarray(sample_weight)
        slope = (chance - y_true) * weight
        bend = np.maximum(chance * (1 - chance), _LEAST) * weight
        gradient_out[:] = slope.reshape(gradient_out.shape)
        hessian_out[:] = bend.reshape(hessian_out.shape)
        return gradient_out, hessian_out


def fit(values: Floats, share: Floats, sizes: Ints, weight: Floats, **settings: Any) -> Any:
    """Fitted scikit-learn trees.

    Parameters
    ----------
    values : ndarray, shape (n, features)
        Rows of a group follow each other.
    share : ndarray, shape (n,)
        Of the choice that falls on the row; 1 in each group.
    sizes : ndarray
        Rows of each group, n in all.
    weight : ndarray, shape (n,)
    settings
        Of `HistGradientBoostingRegressor`.
    """
    model = HistGradientBoostingRegressor(
        loss=_Chosen(sizes), early_stopping=False, random_state=0, **settings
    )
    return model.fit(values, share, sample_weight=weight / weight.mean())
