"""Train the role weights on the open corpora and say how they do on works left out.

``python -m analysis.engine.training.roles [--out FILE] [--check | --leave-out DIR]``

First the card of points of `analyses.role_model`: logistic regression with a ridge on steps of
each measure, for the three classes of the role corpora and, on the *Hauptstimme* annotations, for
leading. Then the second look: boosted trees (scikit-learn, `requirements-train.txt`) over what the
card says of each cell and its company. The card that the trees learn from has never seen the work
it judges, nor any work that is left out. Whole works are left out in turn for the figures, then
all are used for the shipped weights; the figures are those without the trees of the main melody,
which `role_model.estimate` mixes in.
"""

from __future__ import annotations

import argparse
import datetime
import json
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from analysis.engine.analyses import role_lead, role_model, role_second, role_trees
from analysis.engine.analyses.role_cells import Bools, Floats
from analysis.engine.analyses.role_features import NAMES
from analysis.engine.analyses.role_model import CLASSES, RoleModel
from analysis.engine.analyses.role_second import FIRST
from analysis.engine.analyses.role_trees import Trees
from analysis.engine.training.corpus import Labelled, corpora_dir, labelled
from analysis.engine.training.lead import annotated, from_sklearn
from analysis.engine.training.role_figures import figures, reliability

COMMAND = "python -m analysis.engine.training.roles"
PIECES = 5  # of each feature, by quantile
RIDGE = 20.0
AROUND, REACH = 0.5, 1
#: Probability from which a class is named. One set for all works, chosen with the works left out
#: in view so that at most 1.35 classes a cell are named in S3.
THRESHOLDS = (0.37, 0.46, 0.46)
EVERY = 2  # bars: labels hold for phrases, every second bar says as much in half the time
MOST_LEADING = 2500  # annotated cells of a movement
SETTINGS = {
    "max_iter": 80,
    "learning_rate": 0.12,
    "max_leaf_nodes": 4,
    "min_samples_leaf": 80,
    "max_features": 0.3,
    "max_bins": 40,
    "l2_regularization": 5.0,
}

_Key = frozenset[str]


@dataclass(frozen=True)
class Leading:
    """Cells of one movement with its main melody annotated, in the measures of the card."""

    work: str
    values: Floats  # (n, features)
    leads: Bools


@dataclass
class Corpus:
    """All that is trained on, and the cards already made, by the works they have not seen."""

    items: Sequence[Labelled]
    leading: Sequence[Leading]
    steps: tuple[Floats, ...]
    cards: dict[_Key, Floats] = field(default_factory=dict)

    @property
    def works(self) -> list[str]:
        return sorted({x.work for x in self.items})

    def card(self, without: _Key) -> Floats:
        """Points of the card that has not seen these works, shape (1 + all steps, 4)."""
        if without not in self.cards:
            self.cards[without] = _card(self, without)
        return self.cards[without]


def corpus(root: Path) -> Corpus:
    """Everything below CORPORA. Limits of the steps are quantiles of the measures: no answers."""
    items = list(labelled(root))
    columns = [role_lead.FEATURES.index(name) for name in NAMES]
    leading = []
    for x in annotated(root) if items else []:
        thin = slice(None, None, -(-len(x.group) // MOST_LEADING) or 1)
        leading.append(Leading(x.work, x.values[thin][:, columns], x.group[thin]))
    values = np.concatenate([x.values for x in items]) if items else np.zeros((0, len(NAMES)))
    return Corpus(items, leading, tuple(_steps(column) for column in values.T))


def train(known: Corpus, without: _Key = frozenset(), record: Any = None) -> RoleModel:
    """Weights from all works but these."""
    return RoleModel(
        known.steps,
        known.card(without),
        _second(known, without),
        np.array(THRESHOLDS),
        AROUND,
        REACH,
        record or {},
    )


def _card(known: Corpus, without: _Key) -> Floats:
    items = [x for x in known.items if x.work not in without]
    rows = np.concatenate([_rows(x.values[_thin(x)], known.steps) for x in items])
    labels = np.concatenate([x.labels[_thin(x)] for x in items])
    weight = _weights([int(_thin(x).sum()) for x in items])
    points = [_logistic(rows, labels[:, k], weight) for k in range(len(CLASSES))]
    others = [x for x in known.leading if x.work not in without]
    rows = np.concatenate([_rows(x.values, known.steps) for x in others])
    leads = np.concatenate([x.leads for x in others])
    points.append(_logistic(rows, leads, _weights([len(x.leads) for x in others])))
    return np.stack(points, axis=1)


def _second(known: Corpus, without: _Key) -> tuple[Trees, ...]:
    """The trees, taught with cards that have not seen the work they speak of."""
    from sklearn.ensemble import HistGradientBoostingClassifier

    items = [x for x in known.items if x.work not in without]
    views = []
    for x in items:
        card = RoleModel(known.steps, known.card(without | {x.work}), (), np.zeros(3), 0, 0, {})
        first = role_model.log_odds(x.measured, card)
        seen = np.zeros((*x.measured.there.shape, len(role_second.NAMES)), dtype=np.float32)
        seen[x.measured.there] = role_second.views(first, x.measured, x.company)
        mine = x.cells[_thin(x)]
        views.append(seen[mine[:, 0], mine[:, 1]])
    values = np.concatenate(views)
    labels = np.concatenate([x.labels[_thin(x)] for x in items])
    weight = _weights([int(_thin(x).sum()) for x in items]) / EVERY**0.5
    trees = []
    for k in range(len(CLASSES)):
        model = HistGradientBoostingClassifier(random_state=0, early_stopping=False, **SETTINGS)
        trees.append(from_sklearn(model.fit(values, labels[:, k], sample_weight=weight)))
    return tuple(trees)


def _thin(item: Labelled) -> Bools:
    chosen: Bools = item.cells[:, 1] % EVERY == 0
    return chosen


def _weights(sizes: Sequence[int]) -> Floats:
    """Movements count by the root of their size."""
    return np.concatenate([np.full(n, 60 / max(n, 1) ** 0.5) for n in sizes])


def _rows(values: Floats, steps: tuple[Floats, ...]) -> Any:
    return role_model.passed(values, steps).astype(np.float32)


def _steps(column: Floats) -> Floats:
    """Limits between quantiles; a feature that is nearly always the same is split at its middle."""
    inner = np.quantile(column, np.linspace(0, 1, PIECES + 1)[1:-1])
    found = np.unique(np.round(inner, 4))
    found = found[(found >= column.min()) & (found < column.max())]
    if not len(found) and column.max() > column.min():
        found = np.array([(column.max() + column.min()) / 2])
    return found


def _logistic(rows: Any, truth: Bools, weight: Floats, rounds: int = 8) -> Floats:
    """Ridge logistic regression by Newton's method; the first column is not held back."""
    ridge = np.full(rows.shape[1], RIDGE)
    ridge[0] = 1e-3
    points = np.zeros(rows.shape[1])
    for _ in range(rounds):
        p = 1 / (1 + np.exp(-(rows @ points.astype(np.float32)).astype(np.float64)))
        slope = rows.T @ (weight * (truth - p)).astype(np.float32) - ridge * points
        curve = (rows * (weight * p * (1 - p)).astype(np.float32)[:, None]).T @ rows
        step = np.linalg.solve(curve + np.diag(ridge), slope)
        points += step
        if np.abs(step).max() < 1e-3:
            break
    return points


# --- figures ----------------------------------------------------------------


def probabilities(item: Labelled, model: RoleModel) -> Floats:
    """Probability of each class in the labelled cells, shape (n, 3)."""
    chance = role_model.chances(item.measured, item.company, model)
    chosen: Floats = chance[item.cells[:, 0], item.cells[:, 1]]
    return chosen


def leave_one_work_out(known: Corpus) -> dict[str, dict[str, Any]]:
    """Figures by corpus when every work is judged by weights that never saw it."""
    found: dict[str, Floats] = {}
    for work in known.works:
        model = train(known, frozenset({work}))
        found |= {x.id: probabilities(x, model) for x in known.items if x.work == work}
    return _by_corpus(known.items, found)


def _by_corpus(items: Sequence[Labelled], found: dict[str, Floats]) -> dict[str, dict[str, Any]]:
    named = {k: p >= np.array(THRESHOLDS) for k, p in found.items()}
    out: dict[str, dict[str, Any]] = {}
    for name in sorted({x.corpus for x in items}):
        own = [x for x in items if x.corpus == name]
        out[name] = figures(own, [found[x.id] for x in own], [named[x.id] for x in own])
        out[name]["by_movement"] = {
            x.id: figures([x], [found[x.id]], [named[x.id]])["macro_f1"] for x in own
        }
        p, truth = (
            np.concatenate([found[x.id] for x in own]),
            np.concatenate([x.labels for x in own]),
        )
        out[name]["reliability"] = reliability(p.ravel(), truth.ravel())
    return out


def _write_without(known: Corpus, folder: Path) -> int:
    """A file of weights for each work, trained on the others alone."""
    folder.mkdir(parents=True, exist_ok=True)
    for work in known.works:
        seen = {"works_seen": [w for w in known.works if w != work]}
        text = text_of(train(known, frozenset({work}), seen))
        (folder / f"{work}.json").write_text(text, encoding="utf-8")
    return 0


def as_json(model: RoleModel) -> dict[str, Any]:
    """The stored form; `role_model.from_json` reads it."""
    features, at = [], 1
    for name, limits in zip(NAMES, model.steps, strict=True):
        rows = model.points[at : at + len(limits)]
        at += len(limits)
        features.append(
            {
                "name": name,
                "steps": limits.tolist(),
                "points": [[round(float(p), 4) for p in row] for row in rows],
            }
        )
    return {
        "classes": list(CLASSES),
        "record": dict(model.record),
        "around": model.around,
        "reach": model.reach,
        "thresholds": {
            c: round(float(t), 3) for c, t in zip(CLASSES, model.thresholds, strict=True)
        },
        "points_of": list(FIRST),
        "start": [round(float(p), 4) for p in model.points[0]],
        "features": features,
        "views": list(role_second.NAMES),
        "second": {
            c: role_trees.as_json(trees) for c, trees in zip(CLASSES, model.second, strict=True)
        },
    }


def text_of(model: RoleModel) -> str:
    """The file's text: the card for reading, a line for each array of the trees."""
    value = as_json(model)
    rows = {k: v for k, v in value.items() if k not in ("second", "views")}
    text = json.dumps(rows, indent=1).removesuffix("\n}")
    views = json.dumps(value["views"])
    trees = ",\n".join(
        f'  "{c}": {json.dumps(t, separators=(",", ":"))}' for c, t in value["second"].items()
    )
    return f'{text},\n "views": {views},\n "second": {{\n{trees}\n }}\n}}\n'


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog=COMMAND, description=__doc__)
    parser.add_argument("--out", type=Path, default=role_model._FILE)
    parser.add_argument("--check", action="store_true", help="figures only, write nothing")
    parser.add_argument(
        "--leave-out", type=Path, metavar="DIR", help="write DIR/<work>.json, each without its work"
    )
    options = parser.parse_args(arguments)
    known = corpus(corpora_dir())
    if not known.items:
        print("No labelled movements below CORPORA; set it to the folder of the corpora.",
              file=sys.stderr)  # fmt: skip
        return 2
    if options.leave_out:
        return _write_without(known, options.leave_out)
    unseen = leave_one_work_out(known)
    print(json.dumps(unseen, indent=1))
    if options.check:
        return 0
    record: dict[str, Any] = {
        "date": datetime.date.today().isoformat(),
        "command": COMMAND,
        "method": f"ridge logistic regression on {PIECES} quantile steps a feature (numpy), then "
        f"gradient-boosted trees over it, scikit-learn {SETTINGS}",
        "works_seen": known.works,
        "movements_seen": [x.id for x in known.items],
        "main_melody_seen": sorted({x.work for x in known.leading}),
        "leave_one_work_out": unseen,
    }
    model = train(known, record=record)
    record["on_works_seen"] = _by_corpus(
        known.items, {x.id: probabilities(x, model) for x in known.items}
    )
    options.out.write_text(text_of(model), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
