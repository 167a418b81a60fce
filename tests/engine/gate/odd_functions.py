"""Functions that misbehave in a child process, for the tests of its limits."""

from __future__ import annotations

import os
import resource
import sys
import time
from pathlib import Path

from analysis.engine.errors import Refused
from analysis.engine.process import Parcel


def sleep(parcel: Parcel) -> Parcel:
    time.sleep(60)
    return parcel


def spin(parcel: Parcel) -> Parcel:
    while True:
        pass


def hoard(parcel: Parcel) -> Parcel:
    return Parcel({}, {"x": bytes(1 << 30)})


def abort(parcel: Parcel) -> Parcel:
    os.abort()


def write(parcel: Parcel) -> Parcel:
    return Parcel({}, {"x": bytes(2 << 20)})


def raise_odd(parcel: Parcel) -> Parcel:
    raise KeyError("odd")


def refuse(parcel: Parcel) -> Parcel:
    raise Refused("No.", code="no", where="bar 3")


def look(parcel: Parcel) -> Parcel:
    home = os.environ["HOME"]
    return Parcel(
        {
            "environment": dict(os.environ),
            "home": os.listdir(home),
            "home_path": home,
            "tmp_path": os.environ["TMPDIR"],
            "core": resource.getrlimit(resource.RLIMIT_CORE)[0],
            "modules": sorted(sys.modules),
        }
    )


def files(parcel: Parcel) -> Parcel:
    kept = []
    try:
        for n in range(200):
            kept.append(Path(f"f{n}").open("w"))  # noqa: SIM115
    except OSError:
        pass
    opened = len(kept)
    for file in kept:
        file.close()
    return Parcel({"opened": opened})
