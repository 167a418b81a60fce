"""The measure itself: what is counted, when it fails, and what of the page is kept."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.simulated.drawing import Case
from tests.simulated.expecting import Expected
from tests.simulated.figures import Figures, matrix
from tests.simulated.report import HAND, write

Row = tuple[str, str | None, str, str | None]  # expected flag and cause, given flag and cause


def figures(rows: Sequence[Row], times: int = 1) -> Figures:
    found = Figures()
    for flag, cause, given, named in rows * times:
        case = Case({"kind": "playing"}, Expected(flag, frozenset({cause})), "made", False)
        found.add("made", case, {"flag": given, "cause": named, "sentence": "So it is."})
    return found


GOOD: list[Row] = [("agrees", None, "agrees", None), ("conflicts", None, "conflicts", "contact"),
                   ("partly", "bar-offset", "partly", "bar-offset")]  # fmt: skip


def test_all_as_expected() -> None:
    found = figures(GOOD, 100)
    assert (found.total(), found.matched(), found.causes_right) == (300, 1.0, 1.0)
    assert not found.failures()
    assert not found.misses
    assert matrix(found, "playing")[0] == ["agrees", "100", "0", "0", "0"]


@pytest.mark.parametrize(
    ("row", "times", "says"),
    [
        (("agrees", None, "conflicts", None), 1, "1 true claims"),
        (("agrees", None, "partly", None), 7, "of the flags match"),
        (("conflicts", None, "agrees", None), 1, "false claims"),
        (("partly", None, "ear", None), 4, "went to the ear"),
        (("partly", "bar-offset", "partly", None), 6, "of the causes"),
    ],
)
def test_each_limit_can_be_missed(row: Row, times: int, says: str) -> None:
    found = figures([*GOOD * 100, *[row] * times])
    assert any(says in sentence for sentence in found.failures()), found.failures()
    assert len(found.misses) == times


def test_the_page_keeps_what_was_written_by_hand(tmp_path: Path) -> None:
    page = tmp_path / "trust.md"
    write(page, figures(GOOD), 3, 2)
    page.write_text(page.read_text().replace("Not written yet.", "It errs seldom."))
    write(page, figures(GOOD, 2), 4, 2)
    text = page.read_text()
    assert "--seed 4" in text
    assert "6 claims" in text
    assert text.count(HAND) == 1
    assert text.endswith("It errs seldom.\n")
    assert "| bar-offset | 2 | 2 |" in text
