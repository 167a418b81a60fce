"""Rows of the board: what is computed stands above what the class says."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from analysis.effective import effective_findings
from analysis.storage import table_of
from submissions import unmentioned
from submissions.kinds import KINDS
from submissions.panels import statements
from submissions.unmentioned import not_mentioned
from tests.cast import OCTAVE, Cast, Stage, handed_in

pytestmark = pytest.mark.django_db


def test_a_kind_found_in_every_bar_has_its_row_like_any_other(cast: Cast, stage: Stage) -> None:
    """An empty place would read as "nothing found"."""
    assert statements.data(stage.assignment)["computed"] == []
    handed_in(stage, cast.student, OCTAVE, check=False)
    (row,) = statements.data(stage.assignment)["computed"]
    assert row["kind"] == KINDS["doubling"].label
    assert [(m["x"], m["w"]) for m in row["marks"]] == [(250 * n, 250) for n in range(4)]


def told(stage: Stage) -> list[str]:
    return [row["sentence"] for row in not_mentioned(stage.assignment, stage.run)]


def test_the_same_of_the_same_lines_elsewhere_is_told_once(
    stage: Stage, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = effective_findings(stage.run)
    mine = next(f for f in found if f.sentence.template == "doubling.full" and f.first == 0)
    bits = []
    for bar in range(3):
        params = {**mine.sentence.params, "place": f"b. {bar + 1}"}
        sentence = replace(mine.sentence, params=params)
        bits.append(replace(mine, first=bar, last=bar, sentence=sentence))
    monkeypatch.setattr(unmentioned, "effective_findings", lambda run: bits)
    (row,) = not_mentioned(stage.assignment, stage.run)
    assert "b. 1, 2 and 3" in row["sentence"]
    assert (row["first"], row["last"]) == (0, 0)


def test_what_holds_from_the_first_bar_to_the_last_is_told_last(
    stage: Stage, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = table_of(stage.run)
    end = table.movements[0].last_bar
    found = [f for f in effective_findings(stage.run) if f.kind == "doubling"]
    one, other = next((a, b) for a in found for b in found if set(a.lines) != set(b.lines))
    for whole, part in ((one, other), (other, one)):
        throughout = replace(
            whole, first=0, last=end, start=0, end=table.bars[end].start + table.bars[end].length
        )
        both = [throughout, replace(part, first=0, last=1)]
        monkeypatch.setattr(unmentioned, "effective_findings", lambda run, both=both: both)
        rows = not_mentioned(stage.assignment, stage.run)
        assert [row["last"] for row in rows] == [1, end]


def test_no_sentence_twice_and_the_order_of_the_findings_changes_nothing(
    stage: Stage, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = told(stage)
    assert len(before) > 1
    assert len(set(before)) == len(before)
    backwards: list[Any] = list(reversed(effective_findings(stage.run)))
    monkeypatch.setattr(unmentioned, "effective_findings", lambda run: backwards)
    assert told(stage) == before
