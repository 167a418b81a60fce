"""Places where the kill test may end a process. Nothing happens unless FAULTS is set.

FAULTS="before-bell:0.02,claimed:0.01" kills the process with SIGKILL at that
point with that chance, after noting it in the file FAULTS_LOG; see tests/kill.
"""

from __future__ import annotations

import os
import random
import signal
from functools import cache


@cache
def _chances() -> dict[str, float]:
    wanted = os.environ.get("FAULTS", "")
    pairs = (item.split(":") for item in wanted.split(",") if item)
    return {name: float(chance) for name, chance in pairs}


def point(name: str) -> None:
    """A moment in which a crash would hurt most."""
    chances = _chances()
    if chances and random.random() < chances.get(name, 0.0):
        if note := os.environ.get("FAULTS_LOG"):
            with open(note, "a") as file:
                file.write(f"{name}\n")
        os.kill(os.getpid(), signal.SIGKILL)
