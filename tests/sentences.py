"""How sentences are understood: `python -m tests.sentences [--train] [--misses LIST ...]`.

Leaves out each list of `tests/data/sentences` in turn, fits the weights of the kinds to the others
and reads the list left out with them, by weight alone: no turn of phrase, since those were written
with the lists in view. What comes out is a forecast of a hand nobody has read yet, as far as
concepts and fillers were not made with that list in view, too. `--train` fits to all lists but
those in `unread/` and writes the weights the site uses.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from sklearn.linear_model import LogisticRegression

from analysis.engine import gate, reader
from analysis.engine.model import ScoreTable
from analysis.engine.prose import evidence
from analysis.engine.prose.propose import by_weight, propose
from analysis.engine.prose.sentence import Sentence
from analysis.engine.prose.shorten import read_sentence
from tests.engine.prose.sentences import FOLDER, Said, said, wrong, wrong_parts

PIECE = Path(__file__).parents[1] / "demo" / "piece" / "movement-1.musicxml"
#: Sentences a feature must occur in to be given a weight.
_AT_LEAST = 3
#: Inverse strength of the pull of weights to nought.
_FREEDOM = 1.0


@dataclass(frozen=True)
class Row:
    """A sentence as read, with the kinds a person would take it for."""

    file: str
    one: Said
    s: Sentence
    kinds: tuple[str, ...]


def rows_of(files: list[str], table: ScoreTable) -> list[Row]:
    """The sentences of lists."""
    return [
        Row(file, one, read_sentence(one.text, table),
            tuple(k for each in (one, *one.others) if (k := each.kind) not in ("ask", "none")))
        for file in files for one in said(file)
    ]  # fmt: skip


def fit(rows: list[Row]) -> evidence.Trained:
    """Weights from the sentences that are of a kind."""
    learnt = [row for row in rows if row.kinds and row.one.kind not in ("ask", "none")]
    seen = [evidence.features(row.s) for row in learnt]
    counts = Counter(name for found in seen for name in found)
    names = sorted(name for name, count in counts.items() if count >= _AT_LEAST)
    there = np.array([[name in found for name in names] for found in seen], dtype=float)
    model = LogisticRegression(C=_FREEDOM, max_iter=3000, fit_intercept=False)
    model.fit(there, [row.kinds[0] for row in learnt])
    weights = {n: [round(float(w), 2) for w in model.coef_[:, i]] for i, n in enumerate(names)}
    return tuple(str(k) for k in model.classes_), weights


def write(trained: evidence.Trained) -> None:
    """Keep weights for the site."""
    kinds, weights = trained
    lines = [f"  {json.dumps(n)}: {json.dumps(list(w))}" for n, w in weights.items()]
    text = f'{{"kinds": {json.dumps(list(kinds))},\n "weights": {{\n' + ",\n".join(lines) + "\n}}\n"
    evidence._FILE.write_text(text, "utf-8")


def main() -> None:
    """See the module."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--train", action="store_true")
    asked.add_argument("--misses", nargs="*", default=[])
    wanted = asked.parse_args()
    table = reader.read(gate.admit(PIECE.read_bytes(), PIECE.name).canonical)
    files = sorted(p.relative_to(FOLDER).as_posix() for p in FOLDER.rglob("*.tsv"))
    rows = rows_of(files, table)
    learnt = [row for row in rows if not row.file.startswith("unread/")]
    if wanted.train:
        write(fit(learnt))
        evidence.shipped.cache_clear()
    print(
        "list: kind right / of a kind; by weight right / asked / none / sure and wrong, of these in"
        " the parts / all; whole parser right"
    )
    sure: list[tuple[float, bool]] = []
    for file in files:
        trained = fit([row for row in learnt if row.file != file])
        held = [row for row in rows if row.file == file]
        _report(file, held, trained, table, sure, file in wanted.misses)
    _curve(sure)


def _report(file: str, rows: list[Row], trained: evidence.Trained, table: ScoreTable,
            sure: list[tuple[float, bool]], tell: bool) -> None:  # fmt: skip
    tally: Counter[str] = Counter()
    for row in rows:
        likely, kind = evidence.ranked(row.s, trained)[0]
        if row.kinds:
            sure.append((likely, kind in row.kinds))
            tally["kind"] += kind in row.kinds
        proposal = by_weight(row.s, trained)
        problem = wrong(row.one, proposal, table)
        silent = bool(problem) and proposal.sure
        parts = bool(problem) and bool(wrong_parts(row.one, proposal, table))
        tally["right"] += not problem
        tally["asked"] += bool(problem) and proposal.claim is not None and not proposal.sure
        tally["none"] += bool(problem) and proposal.claim is None
        tally["silent"] += silent
        tally["parts"] += parts
        tally["whole"] += not wrong(row.one, propose(row.one.text, table), table)
        if tell and problem:
            print(f"  {'!!' if silent else '  '} {row.one.text} | {row.s.short}\n"
                  f"       {kind} {likely:.2f}: {problem}; {proposal.claim}")  # fmt: skip
    by_kind = f"{tally['kind']}/{sum(bool(row.kinds) for row in rows)}"
    weighed = " / ".join(str(tally[name]) for name in ("right", "asked", "none", "silent"))
    print(f"{file}: {by_kind}; {weighed}, {tally['parts']} / {len(rows)}; {tally['whole']}")


def _curve(sure: list[tuple[float, bool]]) -> None:
    """Of the kinds decided from a probability on, how many are right, over all lists left out."""
    for floor in (0.0, 0.3, 0.5, 0.6, 0.7, 0.8, 0.9):
        kept = [right for likely, right in sure if likely >= floor]
        decided, right = len(kept) / len(sure), sum(kept) / len(kept)
        print(f"from {floor:.1f}: {decided:.3f} decided, {right:.4f} right")


if __name__ == "__main__":
    main()
