"""A short run of the kill test, on both databases; `make kill-test` is the long one.

With n kills and no failure the chance of a loss per kill is below about 3/n
(the rule of three); the long run's figures are in DEVELOPERS.md.
"""

from __future__ import annotations

import json
import os
import random
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.services import need_postgres

ROOT = Path(__file__).resolve().parents[2]
KILLS = os.environ.get("KILLS", "6")


@pytest.mark.slow
@pytest.mark.parametrize(
    "database", ["sqlite", pytest.param("postgres", marks=pytest.mark.services)]
)
def test_nothing_acknowledged_is_lost_and_nothing_happens_twice(database: str) -> None:
    if database == "postgres":
        need_postgres()
    seed = random.SystemRandom().randrange(1, 10**6)
    done = subprocess.run(
        [
            *(sys.executable, "-m", "tests.kill", "--database", database),
            *("--kills", KILLS, "--seed", str(seed)),
        ],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=900,
    )
    print(done.stdout, done.stderr[-2000:])
    found = re.search(r"^\{.*^\}", done.stdout, re.DOTALL | re.MULTILINE)
    assert found, f"seed {seed}: no report, exit {done.returncode}: {done.stderr[-1500:]}"
    report = json.loads(found.group())
    assert report["passed"], f"seed {seed}: {report}"
    assert report["lost"] == report["effect_doubled"] == report["said_twice"] == []
    assert done.returncode == 0
