"""Figures of the roles: agreement with the labels, and how far the probabilities can be trusted."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from analysis.engine.analyses.role_cells import Floats
from analysis.engine.analyses.role_model import CLASSES
from analysis.engine.training.corpus import Labelled

_BINS = 10


def figures(
    items: Sequence[Labelled], found: Sequence[Floats], named: Sequence[Any]
) -> dict[str, Any]:
    """Macro and class F1, classes per cell, exact match and calibration over `items`."""
    labels = np.concatenate([x.labels for x in items])
    p, said = np.concatenate(found), np.concatenate(named)
    scores = {}
    for k, name in enumerate(CLASSES):
        hit = float((labels[:, k] & said[:, k]).sum())
        precision, recall = hit / max(said[:, k].sum(), 1), hit / max(labels[:, k].sum(), 1)
        f1 = 2 * precision * recall / max(precision + recall, 1e-9)
        scores[name] = {"p": round(precision, 3), "r": round(recall, 3), "f1": round(f1, 3)}
    hits = float((labels & said).sum())
    base = labels.mean()
    return {
        "cells": len(labels),
        "macro_f1": round(float(np.mean([s["f1"] for s in scores.values()])), 3),
        "micro_f1": round(2 * hits / max(labels.sum() + said.sum(), 1), 3),
        "per_cell": round(float(said.sum(axis=1).mean()), 3),
        "exact_match": round(float((labels == said).all(axis=1).mean()), 3),
        "ece": round(_calibration_error(p.ravel(), labels.ravel()), 3),
        "brier_skill": round(float(1 - ((p - labels) ** 2).mean() / (base * (1 - base))), 3),
        **scores,
    }


def _calibration_error(p: Floats, truth: Any) -> float:
    bins = np.minimum((p * _BINS).astype(int), _BINS - 1)
    gaps = [abs((p - truth)[bins == b].sum()) for b in range(_BINS)]
    return float(sum(gaps) / len(p))


def reliability(p: Floats, truth: Any) -> list[dict[str, float]]:
    """By tenth of the probability said: how many, their mean, and the share that was right."""
    bins = np.minimum((p * _BINS).astype(int), _BINS - 1)
    return [
        {
            "count": int((bins == b).sum()),
            "said": round(float(p[bins == b].mean()), 3),
            "right": round(float(truth[bins == b].mean()), 3),
        }
        for b in range(_BINS)
        if (bins == b).any()
    ]
