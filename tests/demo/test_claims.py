"""What is planted, said as a student would say it: devices agree, tempting false claims do not.

Rows of the later kinds and of the third movement, as far as their rule is there; the others are
asked in tests/engine/claims/test_demo_devices.py.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.engine.claims.test_demo_devices import LATER, LIST, answer_to

#: Devices whose claim does not agree although the device is there, with the cause.
NOT_SURE = {
    "D18": "smoothed over three bars, the four bars of this build-up are two",
    "D22": "whether the tune is in the giver and then in the taker is not sure enough (.54)",
    "D76": "the lowest voice of a chorale is no sure bass line to the roles",
    "D95": "B minor over sixteen short bars is not seen as a key of the route",
}


def rows(name: str) -> list[Any]:
    return [
        pytest.param(
            row,
            id=row["id"],
            marks=[pytest.mark.xfail(strict=True, reason=NOT_SURE[row["id"]])]
            if row["id"] in NOT_SURE
            else [],
        )
        for row in LIST[name]
        if row["stage"] > 1 and row["claim"]["kind"] not in LATER
    ]


@pytest.mark.parametrize("row", rows("devices"))
def test_devices_agree(row: dict[str, Any]) -> None:
    value = answer_to(row)
    assert value["flag"] == "agrees", (row["says"], value)


@pytest.mark.parametrize("row", rows("decoys"))
def test_decoys_do_not_agree(row: dict[str, Any]) -> None:
    value = answer_to(row)
    assert value["flag"] != "agrees", (row["really"], value)
    assert value["cause"] != "not-understood", value


def test_what_is_not_recognised_is_never_called_wrong() -> None:
    for row in LIST["devices"]:
        if row["id"] in NOT_SURE:
            assert answer_to(row)["flag"] != "conflicts", row["says"]
