"""Hostile and odd files: the outcomes of the corpus' own manifest.

The files are written by the corpus' script into a temporary folder; the
manifest says what must happen to each, in every format.
"""

from __future__ import annotations

import csv
import subprocess
import sys
from pathlib import Path

import pytest

from analysis.engine.errors import Refused
from analysis.engine.gate import admit, sandbox
from analysis.engine.process import Bounds
from tests.corpora import require_corpora

from .small import score
from .test_refusals import lint

pytestmark = pytest.mark.slow

FAST = Bounds(memory=512 << 20, cpu=10, wall=10.0, output=128 << 20)


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, str]]:
    """The manifest's rows with a path to each file."""
    folder = tmp_path_factory.mktemp("hostile")
    script = require_corpora() / "hostile" / "make_hostile.py"
    subprocess.run(
        [sys.executable, str(script), str(folder / "files")], check=True, capture_output=True
    )
    csv.field_size_limit(1 << 24)
    with open(folder / "manifest.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return [{**row, "path": str(folder / "files" / row["file"])} for row in rows]


def outcome(row: dict[str, str]) -> tuple[str, str]:
    data = Path(row["path"]).read_bytes()
    try:
        admitted = admit(data, row["upload_as"])
    except Refused as refusal:
        lint(refusal)
        return "rejected-with-clear-error", refusal.sentence
    assert admit(admitted.canonical, "again.musicxml").canonical == admitted.canonical, row["file"]
    told = ", ".join(n.code for n in admitted.notices)
    return ("accepted-with-warning" if told else "accepted"), told


@pytest.mark.corpora
def test_every_file_has_the_outcome_of_the_manifest(hostile: list[dict[str, str]]):
    assert len(hostile) > 150
    wrong = []
    for row in hostile:
        got, told = outcome(row)
        if got != row["expected"]:
            wrong.append(f"{row['file']}: {got} ({told}), expected {row['expected']}")
    assert not wrong, "\n".join(wrong)


@pytest.mark.corpora
@pytest.mark.slow
def test_no_file_hangs_or_needs_much_memory(hostile: list[dict[str, str]]):
    for row in hostile:
        data = Path(row["path"]).read_bytes()
        try:
            _, cost = sandbox.measured(data, row["upload_as"], bounds=FAST, conversion=FAST)
        except Refused as refusal:
            stopped = refusal.code.startswith("gate-")
        else:
            stopped = cost.peak > 300 << 20
        assert not stopped, row["file"]


@pytest.mark.corpora
def test_the_container_decides_which_score_is_read(hostile: list[dict[str, str]]):
    row = next(r for r in hostile if r["file"] == "zip_mimetype_first_ok.mxl")
    assert admit(Path(row["path"]).read_bytes(), "a.mxl").notes == 4


def test_a_bomb_in_one_bar_is_stopped_while_it_is_read():
    flood = score('<measure number="1">' + "<a/>" * 2_000_000 + "</measure>")
    with pytest.raises(Refused) as caught:
        admit(flood, "a.xml")
    assert caught.value.code == "elements"
