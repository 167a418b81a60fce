"""Train the trees that say which line carries the main melody.

``python -m analysis.engine.training.lead [--out FILE | --leave-out DIR]``

Gradient-boosted trees (scikit-learn, `requirements-train.txt`) on the *Hauptstimme* annotations of
OpenScore Orchestra (Gotham et al.). Two sets of trees: whether the line is the annotated one or
doubles it, and which of the lines of a bar comes first. ``--leave-out`` writes DIR/<work>.json for
each annotated work, trained on the other works alone. The engine needs none of this: it walks the
trees with numpy.
"""

from __future__ import annotations

import argparse
import datetime
import json
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from analysis.engine.analyses import lead_entries, role_lead, role_trees
from analysis.engine.analyses.role_cells import Bools, Floats, Ints, grid
from analysis.engine.analyses.role_features import measure
from analysis.engine.analyses.role_trees import Trees
from analysis.engine.model import TICKS, ScoreTable
from analysis.engine.training.corpus import corpora_dir, read_table, work_of

COMMAND = "python -m analysis.engine.training.lead"
MOST_CELLS = 9000  # of a movement, drawn by a fixed seed; long movements say the same again
MOST_BARS = 450  # the same for the trees that look at whole bars
SETTINGS = {
    "max_iter": 80,
    "learning_rate": 0.1,
    "max_leaf_nodes": 10,
    "min_samples_leaf": 100,
    "l2_regularization": 5.0,
    "max_bins": 48,
}
FIRST_SETTINGS = {
    "max_iter": 100,
    "learning_rate": 0.12,
    "max_leaf_nodes": 10,
    "min_samples_leaf": 60,
    "l2_regularization": 3.0,
    "max_bins": 48,
}
#: Share of a bar's choice that all who double the annotated line have: which of them is written
#: down is arbitrary (README of the corpora).
_DOUBLES = 0.3


@dataclass(frozen=True)
class Choices:
    """The sounding lines of bars in which the main melody is annotated and sounds.

    Attributes
    ----------
    values : float64, shape (n, features)
        In the order of `role_lead.FIRST`; the lines of a bar follow each other.
    share : float64, shape (n,)
        Of the choice, 1 in each bar.
    sizes : int64
        Lines of each bar, n in all.
    """

    values: Floats
    share: Floats
    sizes: Ints


@dataclass(frozen=True)
class Annotated:
    """Cells of one movement that sound while the main melody is annotated."""

    id: str
    work: str
    values: Floats  # (n, features of role_lead)
    group: Bools  # the annotated line, or one that doubles it in the bar
    choices: Choices


def annotated(root: Path) -> list[Annotated]:
    """Every movement with a main melody annotated, by name."""
    out = []
    for answers in sorted((root / "eval" / "data" / "hauptstimme").glob("*.ref.json")):
        name = answers.name.removesuffix(".ref.json")
        spans = json.loads(answers.read_text(encoding="utf-8"))["melody"]
        out.append(_cells(name, read_table(root / "scores" / f"{name}.mxl"), spans))
    return out


def _cells(name: str, table: ScoreTable, spans: Sequence[Sequence[Any]]) -> Annotated:
    values, group, choices = [], [], []
    of_part = np.array([line.part for line in table.lines])
    for movement in table.movements:
        cells = grid(table, movement)
        measured = measure(cells, table.lines)
        wide = role_lead.wider(cells, measured, table.lines)
        leads = _leading_part(table, movement.first_bar, cells.shape[1], spans)
        there = measured.there
        mine = (of_part[:, None] == leads[None, :]) & there
        # the annotated line sounds, else nobody can be said to lead
        bars = mine.any(axis=0)
        near = np.zeros(mine.shape, dtype=bool)
        for b in np.flatnonzero(bars).tolist():
            near[:, b] = mine[:, b] | measured.doubled[b][:, mine[:, b]].any(axis=1)
        line, bar = np.nonzero(there & bars[None, :])
        values.append(wide[line, bar])
        group.append(near[line, bar])
        every = np.concatenate([wide, lead_entries.measure(cells)], axis=-1)
        choices.append(_choices(every, there, mine, near))
    rng = np.random.default_rng(0)
    chosen = np.arange(sum(map(len, group)))
    if len(chosen) > MOST_CELLS:
        chosen = np.sort(rng.choice(chosen, MOST_CELLS, replace=False))
    return Annotated(
        name,
        work_of(name, "hauptstimme"),
        np.concatenate(values)[chosen],
        np.concatenate(group)[chosen],
        _joined(choices),
    )


def _choices(values: Floats, there: Bools, mine: Bools, near: Bools) -> Choices:
    """Bars with an answer and something to choose from, at most `MOST_BARS`."""
    bars = np.flatnonzero(mine.any(axis=0))
    if len(bars) > MOST_BARS:
        bars = np.sort(np.random.default_rng(0).choice(bars, MOST_BARS, replace=False))
    bars = bars[there[:, bars].sum(axis=0) > 1]
    bar, line = np.nonzero(there[:, bars].T)
    bar = bars[bar]
    share = (1 - _DOUBLES) * mine / np.maximum(mine.sum(axis=0), 1)
    share = share + _DOUBLES * near / np.maximum(near.sum(axis=0), 1)
    return Choices(values[line, bar], share[line, bar], there[:, bars].sum(axis=0))


def _joined(parts: Sequence[Choices]) -> Choices:
    return Choices(
        np.concatenate([c.values for c in parts]),
        np.concatenate([c.share for c in parts]),
        np.concatenate([c.sizes for c in parts]),
    )


def _leading_part(
    table: ScoreTable, first: int, bars: int, spans: Sequence[Sequence[Any]]
) -> np.ndarray[Any, np.dtype[np.int64]]:
    """The part annotated for the longest time in each bar, -1 where none is."""
    out = np.full(bars, -1, dtype=np.int64)
    edges = np.array([b.start / TICKS for b in table.bars[first : first + bars]])
    ends = np.array([b.end / TICKS for b in table.bars[first : first + bars]])
    most = np.zeros(bars)
    for start, end, part, *_ in spans:
        inside = np.minimum(ends, end) - np.maximum(edges, start)
        more = inside > np.maximum(most, 1e-6)
        out[more], most[more] = part, inside[more]
    return out


def train(items: Sequence[Annotated]) -> role_lead.LeadModel:
    """Both sets of trees from annotated movements; movements count by the root of their size."""
    from sklearn.ensemble import HistGradientBoostingClassifier

    from analysis.engine.training import softmax

    model = HistGradientBoostingClassifier(random_state=0, early_stopping=False, **SETTINGS)
    model.fit(
        np.concatenate([x.values for x in items]),
        np.concatenate([x.group for x in items]),
        sample_weight=np.concatenate([_weights(len(x.group), len(x.group)) for x in items]),
    )
    choices = _joined([x.choices for x in items])
    first = softmax.fit(
        choices.values,
        choices.share,
        choices.sizes,
        np.concatenate([_weights(len(x.choices.share), len(x.choices.sizes)) for x in items]),
        **FIRST_SETTINGS,
    )
    return role_lead.LeadModel(from_sklearn(model), from_sklearn(first), {})


def _weights(rows: int, size: int) -> Floats:
    return np.full(rows, 60 / max(size, 1) ** 0.5)


def from_sklearn(model: Any) -> Trees:
    """The fitted trees as arrays, children after their parents."""
    parts: dict[str, list[Any]] = {k: [] for k in ("feature", "limit", "left", "right", "value")}
    roots, offset = [], 0
    for (tree,) in model._predictors:
        nodes = tree.nodes
        leaf = nodes["is_leaf"].astype(bool)
        parts["feature"].append(np.where(leaf, -1, nodes["feature_idx"].astype(np.int64)))
        parts["limit"].append(np.where(leaf, 0.0, nodes["num_threshold"]))
        parts["left"].append(np.where(leaf, 0, nodes["left"].astype(np.int64) + offset))
        parts["right"].append(np.where(leaf, 0, nodes["right"].astype(np.int64) + offset))
        parts["value"].append(np.where(leaf, nodes["value"], 0.0))
        roots.append(offset)
        offset += len(nodes)
    joined = {k: np.concatenate(v) for k, v in parts.items()}
    start = float(np.ravel(model._baseline_prediction)[0])
    return Trees(**joined, roots=np.array(roots, dtype=np.int64), start=start)


def stored(model: role_lead.LeadModel, works: Sequence[str]) -> str:
    record = {
        "date": datetime.date.today().isoformat(),
        "command": COMMAND,
        "method": f"gradient-boosted trees, scikit-learn; group {SETTINGS}, first {FIRST_SETTINGS}",
        "works_seen": sorted(works),
    }
    value = {
        "record": record,
        "features": list(role_lead.FIRST),
        "group": role_trees.as_json(model.group),
        "first": role_trees.as_json(model.first),
    }
    return json.dumps(value, separators=(",", ":")) + "\n"


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog=COMMAND, description=__doc__)
    parser.add_argument("--out", type=Path, default=role_lead.FILE)
    parser.add_argument(
        "--leave-out", type=Path, metavar="DIR", help="write DIR/<work>.json, each without its work"
    )
    wish = parser.parse_args(arguments)
    items = annotated(corpora_dir())
    works = sorted({x.work for x in items})
    if not items:
        print("No annotated movement below CORPORA; set it to the folder of the corpora.",
              file=sys.stderr)  # fmt: skip
        return 2
    if wish.leave_out is None:
        wish.out.write_text(stored(train(items), works), encoding="utf-8")
        return 0
    wish.leave_out.mkdir(parents=True, exist_ok=True)
    for work in works:
        others = [w for w in works if w != work]
        model = train([x for x in items if x.work != work])
        (wish.leave_out / f"{work}.json").write_text(stored(model, others), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
