"""What is planted in the demo piece is found, and none of the tempting false claims agrees.

The list (demo/devices.json) was written before the notes and before the rules.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest

from analysis.engine import claims, gate
from analysis.engine.analyses import analyse
from analysis.engine.reader import read

DEMO = Path(__file__).resolve().parents[3] / "demo"
LIST = json.loads((DEMO / "devices.json").read_text(encoding="utf-8"))
#: kinds that are read and left to the tutor until their rule comes
LATER = {name for name, kind in claims.KINDS.items() if kind.judge is None}


def score_file(movement: int) -> Path:
    """One file a movement."""
    return DEMO / "piece" / f"movement-{movement}.musicxml"


@cache
def scene(movement: int):
    path = score_file(movement)
    table = read(gate.admit(path.read_bytes(), path.name).canonical)
    return claims.make_scene(table, analyse(table))


def answer_to(row: dict) -> dict:
    """The claim asked of its own file, in which it is the first movement."""
    claim = row["claim"]
    return claims.answer_in(scene(claim["movement"]), {**claim, "movement": 1}).as_dict()


JUDGED = {"key", "role"}


def rows(name: str, *, judged: bool | None = None) -> list[dict]:
    kept = [r for r in LIST[name] if r["stage"] == 1 and r["claim"]["kind"] not in LATER]
    if judged is None:
        return kept
    return [r for r in kept if (r["claim"]["kind"] in JUDGED) is judged]


@pytest.mark.parametrize("row", rows("devices"), ids=lambda r: r["id"])
def test_devices_agree(row):
    value = answer_to(row)
    assert value["flag"] == "agrees", (row["says"], value)


@pytest.mark.parametrize("row", rows("decoys"), ids=lambda r: r["id"])
def test_decoys_do_not_agree(row):
    """Understood, and answered with the flag and the cause the list states, if it states any."""
    value = answer_to(row)
    assert value["flag"] != "agrees", (row["really"], value)
    assert value["cause"] != "not-understood", value
    for name in ("flag", "cause"):
        if name in row:
            assert value[name] == row[name], (row["really"], value)


def test_the_piece_is_there():
    assert score_file(1).exists()
    assert score_file(2).exists()


def test_the_list_is_long_enough():
    assert len(LIST["devices"]) >= 20
    assert len(LIST["decoys"]) >= 15
    ids = [r["id"] for r in LIST["devices"] + LIST["decoys"]]
    assert len(set(ids)) == len(ids)
