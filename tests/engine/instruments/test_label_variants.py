"""Some five hundred printed labels: languages x singular, plural, abbreviation x crook x number.

The table stands apart from the engine's own vocabulary and was written from the
practice of printed scores, not from it.
"""

from __future__ import annotations

import pytest

from analysis.engine.instruments import propose
from tests.published import table

ROWS = table("label_variants.csv")
CERTAIN = [r for r in ROWS if r["expect"] != "doubt"]
OPEN = [r for r in ROWS if r["expect"] == "doubt"]
#: steps that go with semitones, for the transpositions instruments are built in
STEPS = {12: 7, 5: 3, 4: 2, 3: 2, 2: 1, 0: 0, -2: -1, -3: -2, -5: -3, -7: -4, -8: -5, -9: -5,
         -10: -6, -12: -7}  # fmt: skip


def test_the_table_is_large_and_no_label_stands_twice() -> None:
    assert len(CERTAIN) >= 400
    assert len(OPEN) >= 20
    assert len({r["label"] for r in ROWS}) == len(ROWS)


@pytest.mark.parametrize("row", CERTAIN, ids=lambda r: r["label"])
def test_a_label_says_who_plays_at_which_pitch(row: dict[str, str]) -> None:
    semitones = int(row["semitones"])
    players = tuple(int(p) for p in row["players"].split())
    alone = propose(row["label"])
    assert (alone.instrument, alone.transposition, alone.players) == (
        row["instrument"], semitones, players
    )  # fmt: skip
    with_file = propose(row["label"], transpose=(semitones, STEPS[semitones]))
    assert with_file.transposition == semitones
    about = with_file.doubt.about if with_file.doubt else None
    assert about == ("players" if row["expect"] == "players" else None)


@pytest.mark.parametrize("row", OPEN, ids=lambda r: r["label"] or "empty")
def test_what_a_label_leaves_open_is_asked(row: dict[str, str]) -> None:
    found = propose(row["label"])
    assert found.doubt is not None
    assert not row["instrument"] or found.instrument == row["instrument"]
