"""Train the role weights on the open corpora and say how they do on works left out.

``python -m analysis.engine.training.roles [--out FILE] [--check | --leave-out DIR]``

First the nets of `analyses.role_model` over the measures of each cell: for the three classes of
the role corpora and, on the *Hauptstimme* annotations, for leading. Then the second look over what
the first one says of each cell and its company: it chooses among mixtures of the classes. The first
look that the second one learns from has never seen the work it judges, nor any work that is left
out. All are scikit-learn's MLPClassifier (`requirements-train.txt`). Whole works are left out in
turn for the figures, then all are used for the shipped weights; the figures are those without the
trees of the main melody, which `role_model.estimate` mixes in.
"""

from __future__ import annotations

import argparse
import datetime
import json
import sys
import warnings
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from analysis.engine.analyses import role_lead, role_model, role_net, role_second
from analysis.engine.analyses.role_cells import Bools, Floats, Ints
from analysis.engine.analyses.role_features import NAMES
from analysis.engine.analyses.role_model import CLASSES, RoleModel
from analysis.engine.analyses.role_net import Net
from analysis.engine.analyses.role_second import MIXTURES
from analysis.engine.training.corpus import Labelled, corpora_dir, labelled
from analysis.engine.training.lead import annotated
from analysis.engine.training.role_figures import figures, reliability

COMMAND = "python -m analysis.engine.training.roles"
AROUND, REACH = 0.5, 1
#: Probability from which a class is named. One set for all works, chosen with the works left out
#: in view so that at most 1.35 classes a cell are named in S3.
THRESHOLDS = (0.36, 0.47, 0.47)
EVERY = 2  # bars: labels hold for phrases, every second bar says as much in half the time
MOST_LEADING = 2500  # annotated cells of a movement
#: Of every net; `ALPHA` is scikit-learn's, so it weighs more in a smaller batch.
UNITS, ALPHA, BATCH = 32, 3.0, 256
BEYOND = 4.0  # deviations from the middle beyond which a value is cut
#: Rounds and nets (each begun at another chance) of the first look, of leading, of the second look.
FIRST_ROUNDS, LEAD_ROUNDS, SECOND_ROUNDS = 8, 4, 10
FIRST_NETS, LEAD_NETS, SECOND_NETS = 2, 1, 3

_Key = frozenset[str]


@dataclass(frozen=True)
class Leading:
    """Cells of one movement with its main melody annotated, in the measures of the first look."""

    work: str
    values: Floats  # (n, features)
    leads: Bools


@dataclass
class Corpus:
    """All that is trained on, and the first looks already taken, by the works not seen."""

    items: Sequence[Labelled]
    leading: Sequence[Leading]
    firsts: dict[_Key, tuple[Net, ...]] = field(default_factory=dict)
    leads: dict[_Key, tuple[Net, ...]] = field(default_factory=dict)

    @property
    def works(self) -> list[str]:
        return sorted({x.work for x in self.items})

    def first(self, without: _Key) -> RoleModel:
        """A model that has not seen these works, with a first look alone."""
        if without not in self.firsts:
            self.firsts[without] = _first(self, without)
        annotated_works = without & {x.work for x in self.leading}
        if annotated_works not in self.leads:
            self.leads[annotated_works] = _leads(self, annotated_works)
        return RoleModel(self.firsts[without], self.leads[annotated_works], (), np.zeros(3), 0, 0,
                         {})  # fmt: skip


def corpus(root: Path) -> Corpus:
    """Everything below CORPORA."""
    items = list(labelled(root))
    columns = [role_lead.FEATURES.index(name) for name in NAMES]
    leading = []
    for x in annotated(root) if items else []:
        thin = slice(None, None, -(-len(x.group) // MOST_LEADING) or 1)
        leading.append(Leading(x.work, x.values[thin][:, columns], x.group[thin]))
    return Corpus(items, leading)


def train(known: Corpus, without: _Key = frozenset(), record: Any = None) -> RoleModel:
    """Weights from all works but these."""
    return replace(
        known.first(without),
        second=_second(known, without),
        thresholds=np.array(THRESHOLDS),
        around=AROUND,
        reach=REACH,
        record=record or {},
    )


def _first(known: Corpus, without: _Key) -> tuple[Net, ...]:
    items = [x for x in known.items if x.work not in without]
    values = np.concatenate([x.values[_thin(x)] for x in items])
    labels = np.concatenate([x.labels[_thin(x)] for x in items])
    return _nets(values, labels, _weights([int(_thin(x).sum()) for x in items]),
                 FIRST_ROUNDS, FIRST_NETS)  # fmt: skip


def _leads(known: Corpus, without: _Key) -> tuple[Net, ...]:
    items = [x for x in known.leading if x.work not in without]
    values = np.concatenate([x.values for x in items])
    leads = np.concatenate([x.leads for x in items])
    return _nets(values, leads, _weights([len(x.leads) for x in items]), LEAD_ROUNDS, LEAD_NETS)


def _second(known: Corpus, without: _Key) -> tuple[Net, ...]:
    """The second look, taught with first looks that have not seen the work they speak of."""
    items = [x for x in known.items if x.work not in without]
    views = []
    for x in items:
        first = role_model.log_odds(x.measured, known.first(without | {x.work}))
        seen = np.zeros((*x.measured.there.shape, len(role_second.NAMES)), dtype=np.float32)
        seen[x.measured.there] = role_second.views(first, x.measured, x.company)
        mine = x.cells[_thin(x)]
        views.append(seen[mine[:, 0], mine[:, 1]])
    labels = np.concatenate([x.labels[_thin(x)] for x in items])
    return _nets(np.concatenate(views), _mixtures(labels),
                 _weights([int(_thin(x).sum()) for x in items]),
                 SECOND_ROUNDS, SECOND_NETS)  # fmt: skip


def _mixtures(labels: Bools) -> Ints:
    """Which of `MIXTURES` each cell is; one that is not among them is the first it wholly holds."""
    held = np.array([[c in m.split("+") for c in CLASSES] for m in MIXTURES])
    alike = (labels[:, None, :] == held[None]).sum(axis=2)
    found: Ints = alike.argmax(axis=1)
    return found


def _nets(values: Floats, truth: Any, weight: Floats, rounds: int, many: int) -> tuple[Net, ...]:
    """Nets trained on the rows of `values`: of labels that are true or false, or of numbers."""
    from sklearn.exceptions import ConvergenceWarning
    from sklearn.neural_network import MLPClassifier

    middle, deviation = values.mean(axis=0, dtype=np.float64), values.std(axis=0, dtype=np.float64)
    deviation[deviation < 1e-6] = 1.0
    low = np.maximum(values.min(axis=0), middle - BEYOND * deviation)
    high = np.minimum(values.max(axis=0), middle + BEYOND * deviation)
    start = Net(middle, deviation, low, high, ())
    rows = start.scaled(values).astype(np.float32)
    found = []
    for seed in range(many):
        model = MLPClassifier(
            (UNITS,), alpha=ALPHA, batch_size=BATCH, max_iter=rounds, random_state=seed
        )
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", ConvergenceWarning)  # stopped early on purpose
            model.fit(rows, truth, sample_weight=weight / weight.mean())
        layers = [(w.astype(np.float64), b.astype(np.float64))
                  for w, b in zip(model.coefs_, model.intercepts_, strict=True)]  # fmt: skip
        found.append(replace(start, layers=tuple(layers)))
    return tuple(found)


def _thin(item: Labelled) -> Bools:
    chosen: Bools = item.cells[:, 1] % EVERY == 0
    return chosen


def _weights(sizes: Sequence[int]) -> Floats:
    """Movements count by the root of their size."""
    return np.concatenate([np.full(n, 60 / max(n, 1) ** 0.5) for n in sizes])


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
    nets = {"first": model.first, "leads": model.leads, "second": model.second}
    return {
        "classes": list(CLASSES),
        "record": dict(model.record),
        "around": model.around,
        "reach": model.reach,
        "thresholds": {
            c: round(float(t), 3) for c, t in zip(CLASSES, model.thresholds, strict=True)
        },
        "features": list(NAMES),
        "views": list(role_second.NAMES),
        "mixtures": list(MIXTURES),
        **{name: [role_net.as_json(net) for net in own] for name, own in nets.items()},
    }


def text_of(model: RoleModel) -> str:
    """The file's text: the record for reading, a line for each net."""
    value = as_json(model)
    nets = ("first", "leads", "second")
    rows = {k: v for k, v in value.items() if k not in nets}
    text = json.dumps(rows, indent=1).removesuffix("\n}")
    for name in nets:
        lines = ",\n".join(f"  {json.dumps(n, separators=(',', ':'))}" for n in value[name])
        text += f',\n "{name}": [\n{lines}\n ]'
    return f"{text}\n}}\n"


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
        "method": f"scikit-learn MLPClassifier: {UNITS} units, alpha {ALPHA}, batch {BATCH}; "
        f"rounds and nets: first look {FIRST_ROUNDS}, {FIRST_NETS}, leading {LEAD_ROUNDS}, "
        f"{LEAD_NETS}, second look {SECOND_ROUNDS}, {SECOND_NETS}",
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
