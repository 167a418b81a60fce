"""Published tables as the tests read them: CSV with source lines that begin with #."""

from __future__ import annotations

import csv
from pathlib import Path

DATA = Path(__file__).resolve().parent / "data"


def table(name: str) -> list[dict[str, str]]:
    """Rows of `tests/data/<name>`; the file must name its source."""
    lines = (DATA / name).read_text(encoding="utf-8").splitlines()
    comments = [line for line in lines if line.startswith("#")]
    assert any("Source" in line for line in comments), f"{name} names no source"
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))
