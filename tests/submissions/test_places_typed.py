"""Where a statement is made, as typed: movement, beats and pass are kept and checked."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from analysis import storage
from analysis.engine import claims
from analysis.outline import outline_of
from courses.bars import parse_bars, typed
from submissions.checking import claim_of
from submissions.kinds import KINDS
from submissions.models import ObservationVersion
from submissions.places import place_label, span_label
from submissions.typed import read_typed
from tests.engine.test_said_place import two_movements

FLUTE = {"kind": "playing", "says": {"mode": "play", "parts": "Fl"}, "words": ""}


def read(monkeypatch: pytest.MonkeyPatch, bars: str, **more: Any) -> tuple[Any, Any]:
    table = two_movements()
    run: Any = SimpleNamespace(copy=SimpleNamespace(outline=outline_of(table)))
    monkeypatch.setattr(storage, "table_of", lambda run: table)
    return read_typed({**FLUTE, "bars": bars, **more}, run), run


@pytest.mark.parametrize(
    ("bars", "place", "wanted"),
    [
        ("3-4", (0, 2, 3), ["3", "4"]),
        ("II: 3-4", (1, 14, 15), ["3", "4"]),
        ("II, b. 3", (1, 14, 14), ["3"]),
        ("3 after C", (0, 6, 6), ["7"]),
        ("9f.", (0, 8, 9), ["9", "10"]),
    ],
)
def test_bars_lie_in_the_movement_that_is_typed(
    monkeypatch: pytest.MonkeyPatch, bars: str, place: tuple[int, int, int], wanted: list[str]
) -> None:
    found, _ = read(monkeypatch, bars)
    assert not found.problems
    values = found.values
    assert (values["movement"], values["first_bar"], values["last_bar"]) == place
    assert values["from_tick"] is values["to_tick"] is values["pass_number"] is None
    outline = outline_of(two_movements())
    again = typed(values["first_bar"], values["last_bar"], outline)
    assert parse_bars(again, outline) == place[1:]
    assert span_label(outline, *place[1:]).removeprefix("II: ") == "–".join(wanted)


@pytest.mark.parametrize(
    ("bars", "start", "end"),
    [
        ("9, beats 3-4", {"bar": "9", "beat": 3}, {"bar": "9", "beat": 4}),
        ("II: 3 beat 2", {"bar": "3", "beat": 2}, {"bar": "3", "beat": 2}),
        ("1-4, second time", {"bar": "1", "pass": 2}, {"bar": "4", "pass": 2}),
    ],
)
def test_beats_and_pass_reach_the_check(
    monkeypatch: pytest.MonkeyPatch, bars: str, start: dict[str, Any], end: dict[str, Any]
) -> None:
    found, run = read(monkeypatch, bars)
    assert not found.problems
    assert found.notice.startswith("Taken as bar")
    statement = ObservationVersion(**{**found.values, "claim": found.values["claim"]})
    statement.observation = None  # type: ignore[assignment]
    monkeypatch.setattr(ObservationVersion, "observation", SimpleNamespace(public_id="x"))
    claim = claim_of(statement, run)
    one, two = claim["bars"]["from"], claim["bars"]["to"]
    assert start.items() <= one.items()
    assert end.items() <= two.items()
    assert place_label(statement, run.copy.outline) == bars
    assert claims.answer(claim, two_movements(), []).flag == "agrees"


@pytest.mark.parametrize(
    ("bars", "asks"),
    [("12-9", "comes before"), ("9 ff.", "up to which bar"), ("II: 9", "no bar 9"),
     ("III: 1", "no movement 3"), ("the nice bit", "Write bars")],
)  # fmt: skip
def test_no_place_is_guessed(monkeypatch: pytest.MonkeyPatch, bars: str, asks: str) -> None:
    found, _ = read(monkeypatch, bars)
    assert asks in " ".join(found.problems["bars"])
    assert found.values["first_bar"] is None
    assert found.values["claim"]["typed"]["bars"] == bars


def test_a_comparison_may_reach_into_another_movement() -> None:
    form = KINDS["comparison"].form({"k-bars2": "II: 3-4", "k-added": "Fl"}, table=two_movements())
    assert form.is_valid(), form.errors
    assert form.claim()["bars2"]["movement"] == 2
    asked = KINDS["comparison"].form({"k-bars2": "II: 33", "k-added": "Fl"}, table=two_movements())
    assert "no bar 33" in str(asked.errors)
