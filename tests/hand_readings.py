"""How far two readings by hand agree, and the computed reading with each.

``python -m tests.hand_readings`` reads the five movements of `tests/data/hand_readings` (its README
says by whom) with the engine and prints shares by movement and over all bars.

Main melody: bars in which the first part named is the same (strict), or the first of one is named
by the other at all (lenient). Keys: bars with the same key, and weighted as in the corpora's
measures (fifth .5, relative .3, parallel .2). Roles: macro and micro F1 of melody, rhythm and
harmony over the cells (bar, part) both of them name.
"""

from __future__ import annotations

import csv
import os
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from analysis.engine import gate, reader
from analysis.engine.analyses import analyse
from analysis.engine.pitch import parse_key
from analysis.engine.predict import predict
from analysis.engine.settings import Settings

FOLDER = Path(__file__).parent / "data" / "hand_readings"
#: Columns of a table and the three classes of the role corpora.
CLASS = {"melody": "melody", "counter": "melody", "harmony": "harmony", "bass": "harmony",
         "rhythm": "rhythm"}  # fmt: skip
CLASSES = ("melody", "rhythm", "harmony")


@dataclass
class Reading:
    """By bar (from 0): the ranked melody parts, the key or None; by (bar, part): its classes."""

    melody: dict[int, list[int]] = field(default_factory=dict)
    key: dict[int, tuple[int, str]] = field(default_factory=dict)
    roles: dict[tuple[int, int], set[str]] = field(default_factory=dict)


def key_of(text: str) -> tuple[int, str] | None:
    """(pitch class, mode); None for "?"."""
    if not text or "?" in text:
        return None
    key = parse_key(text)
    return key.tonic % 12, key.mode


def by_hand(path: Path) -> Reading:
    found = Reading()
    with path.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            key = key_of(row["key"])
            for bar in range(int(row["first"]) - 1, int(row["last"])):
                found.melody[bar] = _parts(row["melody"])
                if key is not None:
                    found.key[bar] = key
                for column, name in CLASS.items():
                    for part in _parts(row[column]):
                        found.roles.setdefault((bar, part), set()).add(name)
    return found


def _parts(text: str) -> list[int]:
    return [int(piece) for piece in text.split(";") if piece.strip()]


def computed(path: Path) -> Reading:
    """The engine's reading, as it is predicted for the corpora."""
    table = reader.read(gate.admit(path.read_bytes(), path.name).canonical)
    said: dict[str, Any] = predict(table, list(analyse(table, Settings())))
    found = Reading()
    starts = [(bar.index, bar.start / 10_080, bar.end / 10_080) for bar in table.bars]
    for bar, start, end in starts:
        middle = (start + end) / 2
        for span in said["melody"]:
            if span["start"] <= middle < span["end"]:
                found.melody[bar] = list(span["parts"])
        for span in said["keys"]:
            if span["start"] <= middle < span["end"] and (key := key_of(span["key"])):
                found.key[bar] = key
    for row in said["roles"]:
        found.roles[row["bar"] - 1, row["part"]] = set(row["roles"])
    return found


def key_credit(one: tuple[int, str], other: tuple[int, str]) -> float:
    """Exact 1, fifth .5, relative .3, parallel .2 (the corpora's weights)."""
    if one == other:
        return 1.0
    if one[1] == other[1]:
        return 0.5 if (one[0] - other[0]) % 12 in (5, 7) else 0.0
    if one[0] == other[0]:
        return 0.2
    major, minor = (one, other) if one[1] == "major" else (other, one)
    return 0.3 if (major[0] - minor[0]) % 12 == 3 else 0.0


def agreement(one: Reading, other: Reading) -> dict[str, tuple[float, float]]:
    """Each measure as (sum, weight), so that movements can be pooled; roles are apart."""
    bars = [b for b in one.melody if one.melody[b] and other.melody.get(b)]
    strict = sum(one.melody[b][0] == other.melody[b][0] for b in bars)
    lenient = sum(
        other.melody[b][0] in one.melody[b] or one.melody[b][0] in other.melody[b] for b in bars
    )
    keyed = [b for b in one.key if b in other.key]
    exact = sum(one.key[b] == other.key[b] for b in keyed)
    weighted = sum(key_credit(one.key[b], other.key[b]) for b in keyed)
    return {
        "melody strict": (strict, len(bars)), "melody lenient": (lenient, len(bars)),
        "key exact": (exact, len(keyed)), "key weighted": (weighted, len(keyed)),
    }  # fmt: skip


def hits(one: Reading, other: Reading) -> dict[str, tuple[int, int, int]]:
    """For each class: named by both, by one, by the other, over cells that both name."""
    cells = one.roles.keys() & other.roles.keys()
    return {
        name: (
            sum(name in one.roles[c] and name in other.roles[c] for c in cells),
            sum(name in one.roles[c] for c in cells),
            sum(name in other.roles[c] for c in cells),
        )
        for name in CLASSES
    }


def f1(counts: list[dict[str, tuple[int, int, int]]]) -> tuple[float, float]:
    """(macro, micro) F1 of pooled counts."""
    pooled = {n: tuple(sum(c[n][k] for c in counts) for k in range(3)) for n in CLASSES}
    each = [2 * both / (a + b) if a + b else 0.0 for both, a, b in pooled.values()]
    both, a, b = (sum(p[k] for p in pooled.values()) for k in range(3))
    return sum(each) / len(each), 2 * both / (a + b) if a + b else 0.0


def main() -> None:
    corpora = Path(os.environ.get("CORPORA", "../shared"))
    pairs: dict[str, list[tuple[Reading, Reading]]] = {}
    ids = sorted(path.stem for path in (FOLDER / "one").glob("*.csv"))
    for name in ids:
        hands = [by_hand(FOLDER / hand / f"{name}.csv") for hand in ("one", "two")]
        engine = computed(corpora / "scores" / f"{name}.mxl")
        pairs.setdefault("one and two", []).append((hands[0], hands[1]))
        pairs.setdefault("computed and one", []).append((engine, hands[0]))
        pairs.setdefault("computed and two", []).append((engine, hands[1]))
    for what, both in pairs.items():
        print(what)
        rows = [(name, [pair]) for name, pair in zip(ids, both, strict=True)] + [("all", both)]
        for name, some in rows:
            found = [agreement(a, b) for a, b in some]
            shares = {k: sum(f[k][0] for f in found) / max(sum(f[k][1] for f in found), 1)
                      for k in found[0]}  # fmt: skip
            macro, micro = f1([hits(a, b) for a, b in some])
            said = "  ".join(f"{k} {v:.3f}" for k, v in shares.items())
            print(f"  {name:20} {said}  roles macro {macro:.3f} micro {micro:.3f}")


if __name__ == "__main__":
    main()
