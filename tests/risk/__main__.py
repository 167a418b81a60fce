"""`python -m tests.risk`: how often flags on roles and keys are right, against how many decide.

    python -m tests.risk [--weights DIR | --shipped] [--only PREFIX] [--jobs 2]
                         [--kinds KIND ...] [--keep DIR [--kept]] [--out docs]

Without `--weights` everything trained is first trained without each work (TRAIN_PYTHON names a
Python with scikit-learn); `--shipped` takes the models as they are, which have seen the works.
`--keep` holds the flags of each movement, so that tables can be written again; with `--kept` from
the movements that are there alone, the others named as not asked.

Exit code: 0 the product's thresholds keep the limits, 1 they do not, 2 no corpora.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict
from functools import partial
from pathlib import Path

from tests.accuracy import train_without
from tests.corpora import CHECKOUT, corpora_dir
from tests.risk.asked import ask, movements
from tests.risk.curve import Flagged
from tests.risk.plot import svg
from tests.risk.told import limits_kept, told


def flags_of(
    where: tuple[str, Path, Path],
    weights: Path | None,
    keep: Path | None,
    kinds: Sequence[str] = (),
) -> list[Flagged]:
    """Of one movement; from `keep` where they are there."""
    _, score, answers = where
    kept = kept_in(keep, where)
    if kept and kept.exists():
        return [from_json(row) for row in json.loads(kept.read_text(encoding="utf-8"))]
    found = ask(score, answers, weights, kinds)
    if kept:
        kept.parent.mkdir(parents=True, exist_ok=True)
        kept.write_text(json.dumps([asdict(one) for one in found]), encoding="utf-8")
    return found


def kept_in(keep: Path | None, where: tuple[str, Path, Path]) -> Path | None:
    return keep / f"{where[0]}-{where[1].stem}.json" if keep else None


def from_json(row: dict) -> Flagged:
    """JSON has no numbers for keys."""
    by_threshold = {k: {float(t): v for t, v in row[k].items()} for k in ("flags", "sure")}
    return Flagged(**{**row, **by_threshold})


def asked_for(wish: argparse.Namespace) -> list[tuple[str, Path, Path]]:
    places = movements(corpora_dir(), wish.only)
    if not wish.kept:
        return places
    return [p for p in places if (kept := kept_in(wish.keep, p)) and kept.exists()]


def measure(wish: argparse.Namespace, weights: Path | None) -> dict[str, list[Flagged]]:
    """Flags by corpus and kind: "role, s3", "key, s3", "role, textures"."""
    places = asked_for(wish)
    work = partial(flags_of, weights=weights, keep=wish.keep, kinds=wish.kinds)
    if wish.jobs > 1:
        with ProcessPoolExecutor(wish.jobs) as pool:
            rows = list(pool.map(work, places))
    else:
        rows = [work(place) for place in places]
    out: dict[str, list[Flagged]] = {}
    for (corpus, _, _), found in zip(places, rows, strict=True):
        for one in found:
            out.setdefault(f"{one.kind}, {corpus}", []).append(one)
    return out


def main(argv: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.risk", description=__doc__)
    parser.add_argument("--weights", type=Path, help="trained already, a file for each work")
    parser.add_argument("--shipped", action="store_true", help="models that have seen the works")
    parser.add_argument("--only", default="", help="movements that begin so")
    parser.add_argument("--kinds", nargs="*", default=(), metavar="KIND", help="only these kinds")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--keep", type=Path, help="flags by movement, read if they are there")
    parser.add_argument("--kept", action="store_true", help="only what --keep holds already")
    parser.add_argument("--out", type=Path, default=CHECKOUT / "docs")
    wish = parser.parse_args(argv)
    if not (corpora_dir() / "eval" / "data").is_dir():
        print(f"There are no answers below {corpora_dir()}; set CORPORA.", file=sys.stderr)
        return 2
    if wish.shipped or wish.weights or wish.kept:
        found = measure(wish, wish.weights)
    else:
        with tempfile.TemporaryDirectory(prefix="weights-") as folder:
            train_without(Path(folder))
            found = measure(wish, Path(folder))
    if not found:
        print(f"No movement begins with {wish.only!r}.", file=sys.stderr)
        return 2
    left = sorted(
        {p[1].stem for p in movements(corpora_dir())} - {p[1].stem for p in asked_for(wish)}
    )
    text = told(found, seen=wish.shipped, left=left)
    print(text)
    wish.out.mkdir(parents=True, exist_ok=True)
    (wish.out / "risk.md").write_text(text, encoding="utf-8")
    (wish.out / "risk.svg").write_text(svg(found), encoding="utf-8")
    return 0 if limits_kept(found) else 1


if __name__ == "__main__":
    raise SystemExit(main())
