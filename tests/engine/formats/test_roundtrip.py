"""Real scores, written as MEI and MIDI by an outside program and read back."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import verovio

from tests.corpora import require_score
from tests.engine.formats import reading

SCORES = ("Bach_BWV.1048_3", "Bach_BWV.232_22", "Beethoven_Op.68_4", "Brahms_Op.68_2",
          "Beethoven_Op.21_3")  # fmt: skip


@pytest.fixture(scope="module", params=SCORES)
def exported(request: pytest.FixtureRequest) -> tuple[Any, Any]:
    path = require_score(request.param)
    admitted = reading.let_in(path.read_bytes(), path.name)
    toolkit = verovio.toolkit()
    toolkit.loadData(admitted.canonical.decode())
    return reading.table_of(admitted), toolkit


@pytest.mark.corpora
@pytest.mark.slow
def test_mei_brings_back_every_note(exported: tuple[Any, Any]):
    """Part, onset, duration (ties joined) and sounding pitch of every note, graces included."""
    table, toolkit = exported
    again = reading.table_of(reading.let_in(toolkit.getMEI({}), "a.mei"))
    assert reading.sounds(again) == reading.sounds(table)
    assert [b.label for b in again.bars] == [b.label for b in table.bars]
    names = [p.label.replace("♭", "b") for p in again.parts]  # as the display name has it
    assert names == [p.label for p in table.parts]
    for fields in ("wstep", "walter", "woctave", "articulation"):
        assert Counter(again.notes[fields].tolist()) == Counter(table.notes[fields].tolist()), (
            fields
        )
    assert [(p.transposition, p.diatonic) for p in again.parts] == [
        (p.transposition, p.diatonic) for p in table.parts
    ]


def rough(table: Any) -> Counter[tuple[Fraction, int]]:
    return Counter({k: 1 for k in reading.attacks(table)})


@pytest.mark.parametrize(
    ("strict", "outcome"), [("1", pytest.fail.Exception), ("", pytest.skip.Exception)]
)
def test_a_score_that_is_missing_is_skipped_only_where_something_may_be(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, strict: str, outcome: type[BaseException]
) -> None:
    (tmp_path / "scores").mkdir()
    monkeypatch.setenv("CORPORA", str(tmp_path))
    monkeypatch.setenv("STRICT", strict)
    with pytest.raises(outcome, match="is not among the scores"):
        require_score(SCORES[0])
