"""The planted devices stand among the findings themselves, not only as answers to claims.

The list (demo/devices.json) was written first; what makes a finding the device: `same.py`.
"""

from __future__ import annotations

import json
from typing import Any

import pytest

from analysis.engine import places
from analysis.engine.sentences import render
from tests.demo.same import is_device
from tests.engine.claims.test_demo_devices import LIST, scene

#: Devices that are in the music and that the engine does not find, with the cause.
MISSED: dict[str, str] = {
    "D10": "six lines go in this sequence and leave it at different beats of bar 12: the sequence "
    "is told, the place where it breaks off is not",
    "D18": "smoothed over three bars, the four bars of this build-up are two",
    "D30": "marks on the page are no findings; the claim's rule reads them itself",
    "D31": "marks on the page are no findings; the claim's rule reads them itself",
    "D51": "a part that rests and then joins is told as a rest and a doubling, not as a course",
    "D76": "the lowest voice of a chorale, in the rhythm of all, is no sure bass line to the roles",
    "D95": "B minor over sixteen short bars is worth less than two changes of key cost; its half "
    "close and its cadence are found",
}


def marked(rows: list[dict[str, Any]]) -> list[Any]:
    """Rows as parameters; those of `MISSED` must fail, so that a cure is noticed."""
    return [
        pytest.param(
            row,
            id=row["id"],
            marks=[pytest.mark.xfail(strict=True, reason=MISSED[row["id"]])]
            if row["id"] in MISSED
            else [],
        )
        for row in rows
    ]


@pytest.mark.parametrize("row", marked(LIST["devices"]))
def test_every_device_is_found(row: dict[str, Any]) -> None:
    claim = row["claim"]
    here = scene(claim["movement"])
    near = [f for f in here.findings if f.kind == claim["kind"]]
    span = places.resolve(claim["bars"], here.table, 0)
    # A fact of several parts may be told of each by itself.
    each = [{**row, "claim": {**claim, "parts": [part]}} for part in claim["parts"]] or [row]
    whole = any(is_device(here, row, f) for f in near)
    assert whole or all(any(is_device(here, c, f) for f in near) for c in each), (
        row["says"],
        [
            (render(f.sentence), json.dumps(dict(f.value))[:200])
            for f in near
            if f.first <= span.last and f.last >= span.first
        ],
    )


@pytest.mark.parametrize("row", LIST["decoys"], ids=lambda r: r["id"])
def test_no_decoy_is_found(row: dict[str, Any]) -> None:
    here = scene(row["claim"]["movement"])
    false = [f for f in here.findings if is_device(here, row, f)]
    assert not false, (row["really"], [render(f.sentence) for f in false])


#: One word of a device changed: nothing of that is found, so the comparison can say no.
CHANGED = [
    ("D57", {"missing": ["A4"]}),
    ("D60", {"steps": [{"bars": ["9", "16"], "with": ["Viola"], "octaves": 0}]}),
    ("D60", {"steps": [{"bars": ["17", "24"], "with": ["Violino I"], "octaves": -1}]}),
    ("D69", {"breaks-at": {"bar": "48", "beat": 1}}),
    ("D77", {"member": {"Corno 2 in Sol": "root"}}),
    ("D82", {"keys": ["f# minor", "e minor"]}),
    ("D85", {"by": ["forces", "rhythm"]}),
    ("D87", {"added": ["Flauto 1"]}),
    ("D89", {"entries": [{"part": "Violino I", "at": {"bar": "83", "beat": 1}},
                         {"part": "Violino II", "at": {"bar": "85", "beat": 1}}]}),
    ("D91", {"at": {"bar": "92", "beat": 1}}),
    ("D94", {"negated": None}),
]  # fmt: skip


@pytest.mark.parametrize(("name", "other"), CHANGED, ids=lambda x: x if isinstance(x, str) else "")
def test_another_value_is_not_found(name: str, other: dict[str, Any]) -> None:
    row = next(r for r in LIST["devices"] if r["id"] == name)
    here = scene(row["claim"]["movement"])
    claim = {k: v for k, v in {**row["claim"], **other}.items() if v is not None}
    assert set(other) <= set(row["claim"]), "the field is there to be changed"
    assert not any(is_device(here, {**row, "claim": claim}, f) for f in here.findings)
