"""The product's own findings in the open corpora's prediction format.

``python -m analysis.engine.predict --scores DIR[:DIR] --out DIR [--jobs 2]``

Every ``<id>.mxl`` goes through the gate, the reader and all analyses at their
default settings, as any upload does; what they find is written to
``OUT/<id>.json`` (roles, melody, keys, doublings). Nothing but the score file
is opened, and the same file gives the same bytes.

Exit code: 0 all written, 1 no score found, 2 a file was refused (one line each
on stderr; the others are written all the same).
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from analysis.engine import gate, reader
from analysis.engine.analyses import (
    analyse,
    keys_regions,
    keys_sure,
    role_lead,
    role_melody,
    role_model,
)
from analysis.engine.analyses.doubling import per_bar
from analysis.engine.analyses.role_lead import LeadModel
from analysis.engine.analyses.role_model import CLASSES, RoleModel
from analysis.engine.analyses.role_words import CLASS_OF
from analysis.engine.errors import EngineError
from analysis.engine.model import TICKS, Finding, ScoreTable
from analysis.engine.settings import Settings

DONE, NOTHING, REFUSED = 0, 1, 2
JSON = dict[str, Any]

_RHYTHM, _HARMONY = CLASSES.index("rhythm"), CLASSES.index("harmony")


def predict(table: ScoreTable, findings: Sequence[Finding]) -> JSON:
    """One movement file's findings as a prediction.

    Parameters
    ----------
    table : ScoreTable
    findings : sequence of Finding
        All of them, at the settings of the prediction.

    Returns
    -------
    dict
        "roles", "melody", "keys", "doublings": times in quarters from the start of the written
        score, bars counted from 1, parts from 0 in document order.
    """
    return {
        "roles": roles(table, findings),
        "melody": melody(table),
        "keys": keys(findings),
        "doublings": doublings(table),
    }


def quarters(ticks: int) -> float:
    """Ticks as quarters; the grid is fine enough for six decimals to tell neighbours apart."""
    return round(ticks / TICKS, 6)


# --- roles -------------------------------------------------------------------


def roles(table: ScoreTable, findings: Iterable[Finding]) -> list[JSON]:
    """The classes of the role findings by bar and part, with the estimate's probabilities.

    A part read as several lines has the classes of them all. "unclear" names nothing of its own:
    such a cell gets its most probable class, the better guess where one must be made.
    """
    chance = _probabilities(table)
    named: dict[tuple[int, int], set[str]] = {cell: set() for cell in chance}
    for found in findings:
        if found.kind != "role":
            continue
        for line in found.lines:
            for bar in range(found.first, found.last + 1):
                cell = bar, table.lines[line].part
                if cell in named:
                    named[cell] |= _classes(found.value["role"], chance[cell])
    rows = []
    for (bar, part), p in sorted(chance.items()):
        said = named[bar, part] or {CLASSES[int(p.argmax())]}
        rows.append(
            {
                "bar": bar + 1,
                "part": part,
                "roles": [c for c in CLASSES if c in said],
                "p": {c: round(float(x), 4) for c, x in zip(CLASSES, p, strict=True)},
            }
        )
    return rows


def _classes(word: str, p: np.ndarray[Any, np.dtype[np.float64]]) -> set[str]:
    """The broad class behind a word; figuration has the likelier of rhythm and harmony."""
    if word == "figuration":
        return {"rhythm" if p[_RHYTHM] > p[_HARMONY] else "harmony"}
    return {CLASS_OF[word]} if word in CLASS_OF else set()


def _probabilities(
    table: ScoreTable,
) -> dict[tuple[int, int], np.ndarray[Any, np.dtype[np.float64]]]:
    """Probabilities of the classes in each cell (bar, part) that sounds: of its likeliest line."""
    out: dict[tuple[int, int], np.ndarray[Any, np.dtype[np.float64]]] = {}
    for movement in table.movements:
        estimate = role_model.estimate(table, movement)
        for line, bar in np.argwhere(estimate.measured.there).tolist():
            cell = movement.first_bar + bar, table.lines[line].part
            p = estimate.probability[line, bar]
            out[cell] = np.maximum(out[cell], p) if cell in out else p
    return out


# --- melody ------------------------------------------------------------------


def melody(table: ScoreTable) -> list[JSON]:
    """Parts with the melody, the leading one first; equal neighbours are one span."""
    spans: list[JSON] = []
    for movement in table.movements:
        found = role_melody.ranked(role_model.estimate(table, movement))
        for bar, lines in zip(
            table.bars[movement.first_bar : movement.last_bar + 1], found, strict=True
        ):
            parts = list(dict.fromkeys(table.lines[line].part for line in lines))
            start, end = quarters(bar.start), quarters(bar.end)
            if not parts or end <= start:
                continue
            if spans and spans[-1]["parts"] == parts and spans[-1]["end"] == start:
                spans[-1]["end"] = end
            else:
                spans.append({"start": start, "end": end, "parts": parts})
    return spans


# --- keys --------------------------------------------------------------------


def keys(findings: Iterable[Finding]) -> list[JSON]:
    """The regions of local key, each with its confidence."""
    regions = [f for f in findings if f.kind == "key" and f.value["how"] == "region"]
    return [
        {
            "start": quarters(f.start),
            "end": quarters(f.end),
            "key": f.value["key"][:1].upper() + f.value["key"][1:],
            "p": round(f.confidence, 4),
        }
        for f in sorted(regions, key=lambda f: f.start)
    ]


# --- doublings ---------------------------------------------------------------


def doublings(table: ScoreTable) -> list[JSON]:
    """Doublings between parts, bar by bar; neighbouring bars at one distance are one span."""
    by_pair: dict[tuple[int, int, int], list[int]] = {}
    for bar, a, b, octaves in per_bar(table, Settings()):
        by_pair.setdefault((a, b, octaves), []).append(bar)
    rows = [
        {
            "start": quarters(table.bars[first].start),
            "end": quarters(table.bars[last].end),
            "a": a,
            "b": b,
            "octaves": octaves,
        }
        for (a, b, octaves), bars in by_pair.items()
        for first, last in _stretches(bars)
    ]
    return sorted(rows, key=lambda r: (r["start"], r["end"], r["a"], r["b"], r["octaves"]))


def _stretches(bars: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Runs of following numbers as (first, last)."""
    cuts = [0, *(i + 1 for i, (x, y) in enumerate(pairwise(bars)) if y != x + 1), len(bars)]
    for i, j in pairwise(cuts):
        yield bars[i], bars[j - 1]


# --- files -------------------------------------------------------------------


@dataclass(frozen=True)
class Others:
    """Other models than the shipped ones, for figures on works left out."""

    roles: RoleModel | None = None
    leads: LeadModel | None = None
    keys: keys_sure.Chosen | None = None


def predict_file(path: Path, others: Others | None = None) -> bytes:
    """The prediction for one score file, as the bytes that are written.

    Parameters
    ----------
    path : Path
    others : Others, optional
        Models instead of the shipped ones.

    Raises
    ------
    EngineError
        If the gate or the reader refuses the file.
    """
    table = reader.read(gate.admit(path.read_bytes(), path.name).canonical)
    if others and (others.roles or others.leads):
        role_model.prefer(table, others.roles, others.leads)
    if others and others.keys:
        keys_regions.prefer(table, others.keys)
    value = predict(table, analyse(table, Settings()))
    return json.dumps(value, separators=(",", ":")).encode() + b"\n"


def stored_for(name: str, folder: Path | None) -> JSON | None:
    """The weights in `folder` for a score: the file with the longest name that begins its id."""
    if folder is None:
        return None
    fitting = [f for f in folder.glob("*.json") if name.startswith(f.stem)]
    if not fitting:
        return None
    best = max(fitting, key=lambda f: len(f.stem))
    value: JSON = json.loads(best.read_text(encoding="utf-8"))
    return value


def left_out(name: str, folder: Path | None) -> Others | None:
    """The models trained without the work of a score: of `folder`, `folder`/lead, `folder`/keys."""
    if folder is None:
        return None
    roles_of, leads_of, keys_of = (stored_for(name, folder / kind) for kind in ("", "lead", "keys"))
    return Others(
        role_model.from_json(roles_of) if roles_of else None,
        role_lead.from_json(leads_of) if leads_of else None,
        keys_sure.from_json(keys_of) if keys_of else None,
    )


def _one(path: Path, out: Path, weights: Path | None) -> str:
    """Write one prediction; what was wrong, or an empty string."""
    try:
        data = predict_file(path, left_out(path.stem, weights))
    except EngineError as refusal:
        return f"{path.name}: {refusal}"
    target = out / f"{path.stem}.json"
    target.with_suffix(".part").write_bytes(data)
    os.replace(target.with_suffix(".part"), target)
    return ""


def score_files(folders: str) -> list[Path]:
    """All ``*.mxl`` of folders divided by ``:``, the largest first; EngineError for equal names."""
    paths = [p for folder in folders.split(":") if folder for p in Path(folder).glob("*.mxl")]
    names = [p.name for p in paths]
    if twice := sorted({n for n in names if names.count(n) > 1}):
        raise EngineError(f"Two scores are called {twice[0]}; predictions are named by score.")
    return sorted(paths, key=lambda p: (-p.stat().st_size, p.name))


def main(argv: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m analysis.engine.predict", description=__doc__)
    parser.add_argument("--scores", required=True, help="folders of MXL files, divided by :")
    parser.add_argument("--out", required=True, type=Path)
    parser.add_argument("--jobs", type=int, default=2, help="processes")
    parser.add_argument(
        "--weights", type=Path, help="folder of role weights by work, for figures on unseen works"
    )
    wish = parser.parse_args(argv)
    try:
        paths = score_files(wish.scores)
    except EngineError as problem:
        print(problem, file=sys.stderr)
        return NOTHING
    if not paths:
        print(f"There is no MXL file in {wish.scores}.", file=sys.stderr)
        return NOTHING
    wish.out.mkdir(parents=True, exist_ok=True)
    for path in paths:  # an old prediction must not pass for a new one
        (wish.out / f"{path.stem}.json").unlink(missing_ok=True)
    work = partial(_one, out=wish.out, weights=wish.weights)
    if wish.jobs > 1:
        with ProcessPoolExecutor(wish.jobs) as pool:
            problems = [p for p in pool.map(work, paths) if p]
    else:
        problems = [p for p in map(work, paths) if p]
    print("".join(f"{p}\n" for p in problems), end="", file=sys.stderr)
    print(f"{len(paths) - len(problems)} of {len(paths)} scores predicted.")
    return REFUSED if problems else DONE


if __name__ == "__main__":
    raise SystemExit(main())
