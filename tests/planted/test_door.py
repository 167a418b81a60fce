"""The door itself: files are read as the README says, and the figures count rightly."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.planted.figures import FLOOR, figures, matrix, table_of
from tests.planted.reading import FOLDER, PlantedError, answers, read_sheet, sheets

THIRDS = {
    "kind": "parallel",
    "by": "this test",
    "scores": {
        "duet": {
            "lines": {"Ob": ["A4 q B4 C5 D5", ["E5 C5 B4 A4", 2]],
                      "Vl I": ["C5 q D5 E5 F5", ["G5 E5 D5 C5", 2]]},
            "words": [["Vl I", "1", 1, "dolce"]],
        }
    },
    "statements": [
        {"score": "duet", "truth": "true", "expected": "agrees", "why": "A under C, B under D",
         "claim": {"bars": ["1", "3"], "parts": ["Ob"], "with": ["Vl I"], "interval": "third"}},
        {"score": "duet", "truth": "false", "expected": ["conflicts"], "why": "no sixths",
         "claim": {"bars": ["1", "3"], "parts": ["Ob"], "with": ["Vl I"], "interval": "sixth"}},
        {"score": "duet", "truth": "doubtful", "expected": ["ear", "partly"], "why": "planted off",
         "claim": {"bars": ["1", "3"], "parts": ["Ob"], "with": ["Vl I"], "interval": "third"}},
    ],
}  # fmt: skip


def _write(folder: Path, **changes: Any) -> Path:
    path = folder / "parallel.json"
    path.write_text(json.dumps({**THIRDS, **changes}), encoding="utf-8")
    return path


def test_figures_are_counted_from_flags(tmp_path: Path) -> None:
    sheet = read_sheet(_write(tmp_path))
    assert sheet.scores["duet"].bars[-1].label == "3", "a bar is repeated"
    assert sheet.scores["duet"].marks[0].text == "dolce"
    found = figures("parallel", answers(sheet))
    # agrees, conflicts, agrees: the third was to be doubtful
    assert (found.total, found.decided, found.right, found.expected) == (3, 3, 2, 2)
    assert found.precision == pytest.approx(2 / 3)
    assert found.ear == 0
    assert [p.truth for p, _ in found.misses] == ["doubtful"]
    assert table_of([found]).splitlines()[1].split()[:5] == ["parallel", "1", "1", "1", "0.667"]
    assert matrix(found).splitlines()[3].split() == ["doubtful", "1", "0", "0", "0"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"kind": "doubling"}, "“kind” should be parallel"),
        ({"scores": {"duet": {"lines": {"Ob": "Q5"}}}}, "score duet"),
        ({"statements": [{"score": "trio"}]}, "there is no score 'trio'"),
        ({"statements": [{**THIRDS["statements"][0], "truth": "maybe"}]}, "“truth” should be"),
        ({"statements": [{**THIRDS["statements"][0], "expected": []}]}, "“expected” should"),
        ({"statements": [{**THIRDS["statements"][0], "why": ""}]}, "“why” should say"),
    ],
)
def test_a_file_that_is_not_so_says_what_is_wrong(
    tmp_path: Path, change: dict[str, Any], says: str
) -> None:
    with pytest.raises(PlantedError, match=says):
        read_sheet(_write(tmp_path, **change))


def test_a_kind_without_a_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(PlantedError, match=r"no share\.json"):
        sheets(tmp_path, ["share"])


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.json")), ids=lambda path: path.stem)
def test_planted_statements_are_flagged_as_precisely_as_asked(path: Path) -> None:
    sheet = read_sheet(path)
    assert sheet.kind == path.stem
    found = figures(sheet.kind, answers(sheet))
    assert found.precision >= FLOOR, table_of([found])
    assert found.of("conflicts", "true") == 0, "who is right is told to look again"


def test_the_folder_tells_its_shape() -> None:
    assert "statements" in (FOLDER / "README.md").read_text(encoding="utf-8")
