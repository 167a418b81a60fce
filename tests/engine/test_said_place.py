"""Places as people type them into a field: issue 4, part 3; what is read is written here."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from analysis.engine import places
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import Mark, ScoreTable
from analysis.engine.said_place import as_typed, movement_said, place_json, read_place, roman
from tests.engine.tables import table


@cache
def two_movements() -> ScoreTable:
    """Bars 1-12 with C at 5 and D at 9, of which 1-4 are played twice; then bars 1-6."""
    made = table({"Fl": " | ".join(["C5 q D5 E5 F5"] * 12) + " || " + " | ".join(["C5 w"] * 6)})
    bars = tuple(replace(b, passes=(1, 2)) if b.index < 4 else b for b in made.bars)
    marks = tuple(
        Mark("rehearsal", -1, 0, i, made.bars[i].start, made.bars[i].start, text)
        for i, text in ((4, "C"), (8, "D"))
    )
    return replace(made, bars=bars, marks=marks)


BAR = 4 * 10_080


@pytest.mark.parametrize(
    ("text", "bars", "more"),
    [
        ("9", (8, 8), {}),
        ("b. 9-12", (8, 11), {}),
        ("9f.", (8, 9), {}),
        ("3 after C", (6, 6), {"notes": 1}),
        ("C", (4, 4), {}),
        ("C-D", (4, 8), {}),
        ("the last four bars", (8, 11), {}),
        ("Takt 3", (2, 2), {}),
        ("1-4, second time", (0, 3), {"number": 2}),
        ("9, beats 3-4", (8, 8), {"ticks": (2, 4)}),
        ("9.3-10.1", (8, 9), {"ticks": (2, 5)}),
        ("9 (beat 2)", (8, 8), {"ticks": (1, 2)}),
        ("beats 1 and 2 of bar 9", (8, 8), {"ticks": (0, 2)}),
        ("II: 3-4", (14, 15), {}),
        ("II, 3", (14, 14), {}),
        ("2nd movement, b. 3", (14, 14), {}),
        ("movement 2: 3 beat 2", (14, 14), {"ticks": (1, 2)}),
    ],
)
def test_what_is_read(text: str, bars: tuple[int, int], more: dict[str, Any]) -> None:
    t = two_movements()
    found = read_place(text, t)
    assert (found.first, found.last) == bars
    assert found.movement == t.bars[bars[0]].movement
    assert found.number == more.get("number")
    assert len(found.notes) == more.get("notes", 0)
    assert found.whole is ("ticks" not in more)
    if "ticks" in more:
        start = t.bars[bars[0]].start
        assert [(x - start) / 10_080 for x in (found.start, found.end)] == [*more["ticks"]]


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("9 ff.", "up to which bar"),
        ("b. 9ff", "up to which bar"),
        ("III: 3", "no movement 3"),
        ("II: 9", "no bar 9"),
        ("3 after F", "no mark F"),
        ("9-12, second time", "once only"),
        ("9 and 12", "Write bars"),
        ("the nice bit", "Write bars"),
        ("", "Write bars"),
    ],
)
def test_what_is_asked_about(text: str, asks: str) -> None:
    with pytest.raises(ClaimNotUnderstood, match=asks):
        read_place(text, two_movements())


@pytest.mark.parametrize("text", ["9", "9-12", "9, beats 3-4", "9.3-10.1", "1-4, second time",
                                  "II: 3-4", "II: 3 beat 2"])  # fmt: skip
def test_what_is_read_is_written_so_that_it_is_read_again(text: str) -> None:
    t = two_movements()
    one = read_place(text, t)
    place = place_json(t, one.start, one.end, one.number)
    span = places.resolve(place, t, one.movement)
    assert (span.start, span.end, span.passes) == (one.start, one.end, (one.number,) * 2)
    again = read_place(as_typed(place, t, one.movement), t)
    assert replace(again, notes=()) == replace(one, notes=())


def test_movements_by_their_numerals() -> None:
    assert [roman(n) for n in (0, 3, 8, 9, 13)] == ["I", "IV", "IX", "X", "XIV"]
    assert movement_said("IV: 9", 4) == (3, "9")
    assert movement_said("9-12", 4) == (None, "9-12")
    assert movement_said("Vl. I", 4) == (None, "Vl. I")
