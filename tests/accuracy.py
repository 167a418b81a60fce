"""Predict, then score against the corpora's human answers in a second process, and judge.

    python -m tests.accuracy [--scores DIR:DIR] [--corpus DIR] [--out DIR] [--jobs 2] [--loo]
                             [--plots DIR]

Prints a table by movement and pooled, beside the best figures known (the corpora's README), and
fails below a floor, and where a work is no better than a constant answer. The measures are the
corpora's own (`orcheval`); answers are read by it, and here for what it does not give: roles named
per cell, the best constant answers, the calibration plots.

Sources of the answers: OpenScore Orchestra and Hauptstimme annotations (Gotham et al.); S3 (Lin
et al., ISMIR 2024 late-breaking); texture labels (Le, Giraud, Leve, Maccarini, DLfM 2022).

Exit code: 0 every floor that could be measured is kept, 1 one is not, 2 nothing to measure.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from analysis.engine.predict import DONE, REFUSED
from tests import accuracy_plot
from tests.accuracy_works import (
    add_constants,
    add_works,
    below_constant,
    read,
    score,
    work_of,
)
from tests.corpora import CHECKOUT, corpora_dir

JSON = dict[str, Any]

#: issue of the main job, point 6
DOUBLINGS, ROLES, ROLES_PER_CELL, KEYS = 0.97, 0.55, 1.35, 0.60
WEIGHTS = CHECKOUT / "analysis" / "engine" / "analyses" / "role_weights.json"

#: best figures on unseen works known to the authors of the corpora's README, and human agreement
KNOWN = """\
Known, on unseen works (README of the corpora; these are other systems):
  doublings          F1 .90 (P .83, R .99)
  roles, S3          macro F1 .69, micro .70, melody F1 .71, exact match .44
  roles, textures    macro F1 .78, micro .83, melody F1 .62, exact match .73
  naming all three   macro F1 .60 (S3; 3 roles a cell)
  main melody        strict .57, lenient .68, set F1 .66
  keys               exact .75, weighted .82
  two people agree   roles macro F1 .66 and .78, main melody .79-.82"""


@dataclass(frozen=True)
class Row:
    """A line of the table; absent figures are None."""

    name: str
    macro: float | None = None
    roles_constant: float | None = None
    melody_role: float | None = None
    exact_match: float | None = None
    per_cell: float | None = None
    key: float | None = None
    key_weighted: float | None = None
    key_constant: float | None = None
    strict: float | None = None
    lenient: float | None = None
    part_constant: float | None = None
    set_f1: float | None = None
    doubling_p: float | None = None
    doubling_r: float | None = None
    doubling: float | None = None


HEADS = (
    ("roles", "macro"), ("const", "roles_constant"), ("mel.", "melody_role"),
    ("exact", "exact_match"), ("/cell", "per_cell"),
    ("keys", "key"), ("const", "key_constant"), ("wtd", "key_weighted"),
    ("mel.1", "strict"), ("const", "part_constant"), ("len.", "lenient"), ("setF1", "set_f1"),
    ("dbl P", "doubling_p"), ("dbl R", "doubling_r"), ("dblF1", "doubling"),
)  # fmt: skip
LEGEND = """\
roles: macro F1, F1 of melody, exact match, roles named per labelled cell; keys: exact, weighted;
mel.1: main part strict, len.: or a part that doubles it, F1 of the set; dbl: doublings bar by bar
with octave count; const: what the best constant answer would reach (all three roles; one key, one
part in each movement). * = the shipped role weights were trained with this work."""

#: best figures on unseen works known to the authors of the README, as rows of the table
BEST_KNOWN = {
    "s3": Row("best known", macro=0.69, melody_role=0.71, exact_match=0.44, key=0.75,
              key_weighted=0.82),
    "hauptstimme": Row("best known", strict=0.57, lenient=0.68, set_f1=0.66, doubling_p=0.83,
                       doubling_r=0.99, doubling=0.90),
    "textures": Row("best known", macro=0.78, melody_role=0.62, exact_match=0.73),
}  # fmt: skip


# --- the two processes ---------------------------------------------------------


def predict(scores: str, out: Path, jobs: int, weights: Path | None = None) -> None:
    """Predict every score in a process of its own; refused ones are left out of the figures."""
    command = [sys.executable, "-m", "analysis.engine.predict", "--scores", scores]
    command += ["--out", str(out), "--jobs", str(jobs)]
    if weights:
        command += ["--weights", str(weights)]
    if subprocess.run(command, cwd=CHECKOUT, check=False).returncode not in {DONE, REFUSED}:
        raise SystemExit("The prediction has stopped before its end; nothing is measured.")


def train_without(folder: Path) -> None:
    """What is trained or chosen, for each work from the others; the three trainings at once.

    TRAIN_PYTHON names a Python that has scikit-learn (`requirements-train.txt`).
    """
    python = os.environ.get("TRAIN_PYTHON") or sys.executable
    running = [
        subprocess.Popen(
            [python, "-m", f"analysis.engine.training.{module}", "--leave-out", str(where)],
            cwd=CHECKOUT,
        )
        for module, where in (
            ("lead", folder / "lead"), ("roles", folder), ("keys", folder / "keys"),
        )
    ]  # fmt: skip
    if any([training.wait() for training in running]):
        raise SystemExit("A training without one work has failed; nothing is measured.")


# --- what the measures do not give ----------------------------------------------


def roles_named(reference: list[list[Any]], predicted: list[JSON]) -> tuple[int, int]:
    """Roles named in the cells of the reference, and how many cells these are."""
    said = {(r["bar"], r["part"]): len(set(r["roles"])) for r in predicted}
    return sum(said.get((bar, part), 0) for bar, part, _ in reference), len(reference)


def add_own(corpus: Path, predictions: Path, result: JSON) -> None:
    """Write "per_cell" into `result`, and calibration plots beside the predictions."""
    for name, scored in result.items():
        named = cells = 0
        pairs: dict[str, list[accuracy_plot.Pair]] = {"roles": [], "keys": []}
        for movement, figures in scored["movements"].items():
            reference = read(corpus / "data" / name / f"{movement}.ref.json")
            predicted = read(predictions / f"{movement}.json")
            if "roles" in figures:
                said = predicted["roles"]
                own = roles_named(reference["roles"], said)
                pairs["roles"] += accuracy_plot.role_pairs(reference["roles"], said)
                figures["roles"]["per_cell"] = own[0] / max(own[1], 1)
                named, cells = named + own[0], cells + own[1]
            if "keys" in figures:
                pairs["keys"] += accuracy_plot.key_pairs(reference["keys"], predicted["keys"])
        if "roles" in scored["pooled"]:
            scored["pooled"]["roles"]["per_cell"] = named / max(cells, 1)
        for kind, found in pairs.items():
            if found:
                drawn = accuracy_plot.svg(f"{kind.title()}, {name}", accuracy_plot.bins(found))
                plot = predictions / f"calibration-{kind}-{name}.svg"
                plot.write_text(drawn, encoding="utf-8")


# --- judgement -------------------------------------------------------------------


def below_floor(result: JSON) -> tuple[list[str], list[str]]:
    """Sentences about floors not kept, and about floors that nothing was there to measure."""
    bad: list[str] = []
    unmeasured = []
    roles = result.get("s3", {}).get("pooled", {}).get("roles")
    keys = result.get("s3", {}).get("pooled", {}).get("keys")
    doublings = result.get("hauptstimme", {}).get("pooled", {}).get("doublings")
    if roles is None:
        unmeasured.append("roles")
    else:
        bad += _under("Roles (S3), macro F1", roles["macro_f1"], ROLES)
        if roles["per_cell"] > ROLES_PER_CELL:
            bad.append(f"{roles['per_cell']:.3f} roles per cell are more than {ROLES_PER_CELL}.")
    if keys is None:
        unmeasured.append("keys")
    else:
        bad += _under("Keys, exact", keys["exact"], KEYS)
    if doublings is None:
        unmeasured.append("doublings")
    else:
        bad += _under("Doublings, F1", doublings["f1"], DOUBLINGS)
    return bad + below_constant(result), unmeasured


def _under(what: str, value: float, floor: float) -> list[str]:
    return [] if value >= floor else [f"{what}: {value:.3f} is below {floor:.2f}."]


# --- the table -------------------------------------------------------------------


def row(name: str, figures: Mapping[str, JSON]) -> Row:
    values: dict[str, float | None] = {}
    if roles := figures.get("roles"):
        values |= {"macro": roles["macro_f1"], "melody_role": roles["melody"]["f1"]}
        values |= {"exact_match": roles["exact_match"], "per_cell": roles.get("per_cell")}
        values |= {"roles_constant": roles.get("constant")}
    if keys := figures.get("keys"):
        values |= {"key": keys["exact"], "key_weighted": keys["weighted"]}
        values |= {"key_constant": keys.get("constant")}
    if melody := figures.get("melody"):
        values |= {"strict": melody["top"], "lenient": melody["top_lenient"]}
        values |= {"set_f1": melody["set_f1"], "part_constant": melody.get("constant")}
    doublings = figures.get("doublings", {})
    if any(doublings.get(k) for k in ("tp", "fp", "fn")):  # else there is none to find
        values |= {"doubling_p": doublings["p"], "doubling_r": doublings["r"]}
        values |= {"doubling": doublings["f1"]}
    return Row(name, **values)


def table(result: JSON, seen: frozenset[str]) -> Iterator[str]:
    for corpus, scored in result.items():
        if not scored["movements"]:
            continue
        yield ""
        yield f"{corpus:24}" + "".join(f"{head:>7}" for head, _ in HEADS)
        for name, figures in scored["movements"].items():
            yield _words(row(name + ("*" if work_of(name, corpus) in seen else ""), figures))
        for work, figures in scored.get("works", {}).items():
            yield _words(row(f"= {work}{'*' if work in seen else ''}", figures))
        yield _words(row("all", scored["pooled"]))
        if corpus in BEST_KNOWN:
            yield _words(BEST_KNOWN[corpus])
        yield from details(scored)
        for what in ("roles_calibration", "keys_calibration"):
            if found := scored["pooled"].get(what):
                yield (
                    f"  {what.replace('_', ' ')}: expected error {found['ece']:.3f}, "
                    f"Brier skill {found['brier_skill']:.3f}"
                )
        if missing := scored["movements_without_prediction"]:
            more = " ..." if len(missing) > 5 else ""
            yield f"  not predicted: {len(missing)} ({', '.join(missing[:5])}{more})"


def details(scored: JSON) -> Iterator[str]:
    """Precision and recall by class, the worst movement of each figure, sizes of melody sets."""
    if roles := scored["pooled"].get("roles"):
        by_class = ", ".join(
            f"{c} P {roles[c]['p']:.3f} R {roles[c]['r']:.3f} F1 {roles[c]['f1']:.3f}"
            for c in ("melody", "rhythm", "harmony")
        )
        yield f"  roles: micro F1 {roles['micro_f1']:.3f}; {by_class}"
    if melody := scored["pooled"].get("melody"):
        yield f"  main melody: {melody['mean_set_size']:.2f} parts in the set"
    for kind, figure in (("roles", "macro_f1"), ("keys", "exact"), ("melody", "top")):
        found = {n: f[kind][figure] for n, f in scored["movements"].items() if kind in f}
        if found:
            worst = min(found, key=lambda n: found[n])
            yield f"  worst {kind}: {worst}, {found[worst]:.3f}"


def _words(line: Row) -> str:
    cells = (getattr(line, field) for _, field in HEADS)
    return f"{line.name:24}" + "".join(f"{'' if x is None else f'{x:.3f}':>7}" for x in cells)


# --- all of it ---------------------------------------------------------------------


def measure(
    scores: str, corpus: Path, out: Path, jobs: int, loo: bool, weights: Path | None = None
) -> JSON:
    """Predict into `out`, score into ``<out>.json``; the result with our own figures in it.

    Works left out are trained without, or `weights` holds what an earlier run trained.
    """
    if weights:
        predict(scores, out, jobs, weights)
    elif loo:
        with tempfile.TemporaryDirectory(prefix="weights-") as folder:
            train_without(Path(folder))
            predict(scores, out, jobs, Path(folder))
    else:
        predict(scores, out, jobs)
    result = score(corpus, out, out.with_name(out.name + ".json"))
    add_works(corpus, out, result)
    add_constants(corpus, result)
    add_own(corpus, out, result)
    return result


def main(argv: list[str] | None = None) -> int:
    shared = corpora_dir()
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy", description=__doc__)
    parser.add_argument("--scores", default=f"{shared}/scores:{shared}/eval/scores_roles_keys")
    parser.add_argument("--corpus", type=Path, default=shared / "eval")
    parser.add_argument("--out", type=Path, default=CHECKOUT / "var" / "accuracy")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--loo", action="store_true", default=os.environ.get("LOO", "") == "1",
                        help="all that is trained, without the work it judges")  # fmt: skip
    parser.add_argument("--weights", type=Path, help="with --loo: trained already, in this folder")
    parser.add_argument("--plots", type=Path, help="put the calibration plots here as well")
    wish = parser.parse_args(argv)
    if not (wish.corpus / "data").is_dir():
        print(
            f"There are no answers in {wish.corpus}/data; set CORPUS or CORPORA.", file=sys.stderr
        )
        return 2
    result = measure(wish.scores, wish.corpus, wish.out, wish.jobs, wish.loo, wish.weights)
    if wish.plots:
        for plot in sorted(wish.out.glob("calibration-*.svg")):
            shutil.copy(plot, wish.plots)
    return tell(result, wish.loo)


def tell(result: JSON, loo: bool) -> int:
    works = frozenset() if loo else frozenset(read(WEIGHTS)["record"]["works_seen"])
    print("\n".join(table(result, works)), LEGEND, KNOWN, sep="\n\n")
    if loo:
        print("\nRole weights, trees of the main melody, and the cost and calibration of the keys: "
              "each work judged without it.\n")  # fmt: skip
    else:
        print(f"\nRole weights: the shipped ones, trained with {', '.join(sorted(works))}.")
        print("Trees of the main melody: trained with all works that have one annotated. "
              "Keys: cost and calibration chosen on all of S3.\n")  # fmt: skip
    bad, unmeasured = below_floor(result)
    if len(unmeasured) == 3:
        print("No score with an answer was predicted.", file=sys.stderr)
        return 2
    for what in unmeasured:
        print(f"Floor of {what}: nothing to measure it with.")
    print("\n".join(bad) or "All measured floors are kept.")
    return 1 if bad else 0


if __name__ == "__main__":
    raise SystemExit(main())
