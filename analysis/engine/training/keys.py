"""What the key finder takes from annotated keys: one cost, and the calibration.

``python -m analysis.engine.training.keys [--leave-out DIR]``

Prints what `keys_sure.SHIPPED` holds, with what is right of cadences and doubtful bars.
``--leave-out`` writes DIR/<work>.json for each work of S3, chosen on the other. All else of the key
finder is published profiles and a panel that asks them all.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from analysis.engine.analyses import keys_evidence as evidence
from analysis.engine.analyses import keys_path as paths
from analysis.engine.analyses import keys_regions, keys_sure
from analysis.engine.analyses.keys_evidence import Floats
from analysis.engine.analyses.keys_profiles import KEYS
from analysis.engine.model import TICKS, ScoreTable
from analysis.engine.pitch import parse_key
from analysis.engine.training.corpus import ROLE_CORPORA, corpora_dir, read_table, work_of

COMMAND = "python -m analysis.engine.training.keys"
#: Costs of a change that are tried, and the penalty on the weights of the calibration.
CHANGES = (0.5, 1.0, 1.5, 2.0, 3.0)
_RIDGE = 1.0


@dataclass(frozen=True)
class Annotated:
    """One movement with its keys.

    Attributes
    ----------
    reading : Reading
        At the shipped cost.
    time : float64, shape (bars, 24)
        Quarters of each bar annotated with each key.
    """

    id: str
    work: str
    reading: paths.Reading
    time: Floats

    def path(self, costs: paths.Costs) -> paths.Ints:
        return paths.agreed(self.reading.probable, costs)


def annotated(root: Path) -> list[Annotated]:
    """Every movement of S3, by name."""
    out = []
    for answers in sorted((root / "eval" / "data" / "s3").glob("*.ref.json")):
        name = answers.name.removesuffix(".ref.json")
        spans = json.loads(answers.read_text(encoding="utf-8"))["keys"]
        table = read_table(root / ROLE_CORPORA["s3"] / f"{name}.mxl")
        out.append(_annotated(name, table, spans))
    return out


def _annotated(name: str, table: ScoreTable, spans: Sequence[Sequence[Any]]) -> Annotated:
    (movement,) = table.movements
    bars = table.bars[movement.first_bar : movement.last_bar + 1]
    notes = evidence.tones(keys_regions.movement_rows(table, movement))
    reading = paths.read(
        evidence.presence(notes, bars),
        evidence.cadence_weights(evidence.cadences(notes, bars), bars),
        np.array([b.length / TICKS for b in bars]),
    )
    starts = np.array([bar.start for bar in bars]) / TICKS
    ends = np.array([bar.end for bar in bars]) / TICKS
    time = np.zeros((len(bars), KEYS))
    for start, end, words in spans:
        key = parse_key(words)
        column = key.tonic + (12 if key.mode == "minor" else 0)
        time[:, column] += np.maximum(np.minimum(ends, end) - np.maximum(starts, start), 0.0)
    return Annotated(name, work_of(name, "s3"), reading, time)


def choose(items: Sequence[Annotated]) -> keys_sure.Chosen:
    """The cost with most annotated time in its key, and the calibration at that cost."""
    tried = [replace(paths.AGREED, change=c) for c in CHANGES]
    right = [sum(_right(x, costs).sum() for x in items) for costs in tried]
    costs = tried[int(np.argmax(right))]
    return keys_sure.Chosen(costs, _calibrated(items, costs))


def _right(item: Annotated, costs: paths.Costs) -> Floats:
    path = item.path(costs)
    right: Floats = item.time[np.arange(len(path)), path]
    return right


def _calibrated(items: Sequence[Annotated], costs: paths.Costs) -> tuple[float, float, float]:
    """Logistic regression by Newton's method, bars weighed by their annotated time."""
    columns, right, time = [], [], []
    for item in items:
        path = item.path(costs)
        near, length = keys_sure.surroundings(path, item.reading.probable)
        columns.append(keys_sure.measures(near, length))
        right.append(_right(item, costs))
        time.append(item.time.sum(axis=1))
    weight = np.concatenate(time)
    x = np.concatenate(columns)[weight > 0]
    share = (np.concatenate(right)[weight > 0]) / weight[weight > 0]
    weight = weight[weight > 0] / weight[weight > 0].mean()
    x = np.c_[np.ones(len(x)), x]
    penalty = np.diag([0.0, _RIDGE, _RIDGE])
    beta = np.zeros(3)
    for _ in range(50):
        p = 1 / (1 + np.exp(-x @ beta))
        bend = (x * (weight * p * (1 - p))[:, None]).T @ x + penalty
        beta = beta + np.linalg.solve(bend, x.T @ (weight * (share - p)) - penalty @ beta)
    a, b, c = (round(float(v), 2) for v in beta)
    return a, b, c


def stored(chosen: keys_sure.Chosen) -> str:
    return json.dumps({"change": chosen.costs.change, "calibration": chosen.calibration}) + "\n"


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog=COMMAND, description=__doc__)
    parser.add_argument("--leave-out", type=Path, metavar="DIR")
    wish = parser.parse_args(arguments)
    items = annotated(corpora_dir())
    works = sorted({x.work for x in items})
    if not items:
        print("No score with keys below CORPORA; set it to the folder of the corpora.",
              file=sys.stderr)  # fmt: skip
        return 2
    if wish.leave_out is None:
        print(stored(choose(items)), end="")
        return 0
    wish.leave_out.mkdir(parents=True, exist_ok=True)
    for work in works:
        chosen = choose([x for x in items if x.work != work])
        (wish.leave_out / f"{work}.json").write_text(stored(chosen), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
