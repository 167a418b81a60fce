"""Two files of one score, bar on bar. Thresholds: common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import pytest

from analysis.engine import align as module
from analysis.engine.align import align
from analysis.engine.model import ScoreTable
from tests.engine.tables import table

FLUTE = ["C5 q D5 E5 F5", "G5 h E5", "D5 q E5 F5 A5", "B5 w", "A5 h G5", "C5 w"]
OBOE = ["C4 h E4", "E4 w", "F4 h F4", "G4 q G4 G4 G4", "F4 w", "E4 w"]


def score(
    flute: list[str], oboe: list[str], labels: list[str] | None = None, names: str = "Fl Ob"
) -> ScoreTable:
    one, two = names.split()
    made = table({one: " | ".join(flute), two: " | ".join(oboe)})
    if labels:
        bars = tuple(replace(b, label=x) for b, x in zip(made.bars, labels, strict=True))
        made = replace(made, bars=bars)
    return made


OLD = score(FLUTE, OBOE)


def test_the_same_file_lies_on_itself() -> None:
    found = align(OLD, OLD)
    assert found.bars == (0, 1, 2, 3, 4, 5)
    assert found.parts == {p.id: p.id for p in OLD.first_readings}


def test_a_bar_put_in_front_moves_all_whatever_they_are_called() -> None:
    new = score(["E5 h B4 h", *FLUTE], ["r w", *OBOE])
    assert align(OLD, new).bars == (1, 2, 3, 4, 5, 6)
    assert align(new, OLD).bars == (None, 0, 1, 2, 3, 4, 5)


def test_a_bar_taken_out_is_lost_and_no_neighbour_takes_its_place() -> None:
    new = score([*FLUTE[:2], *FLUTE[3:]], [*OBOE[:2], *OBOE[3:]])
    assert align(OLD, new).bars == (0, 1, None, 2, 3, 4)


def test_a_bar_mended_in_some_notes_stays_the_same_bar() -> None:
    mended = ["A5 h E5 h", *FLUTE[:2], "D5 q E5 F#5 A5", *FLUTE[3:]]
    assert align(OLD, score(mended, ["r w", *OBOE])).bars == (1, 2, 3, 4, 5, 6)


def test_a_file_written_a_step_higher_keeps_its_bars_by_their_attacks() -> None:
    flute = ["D5 q E5 F#5 G5", "A5 h F#5", "E5 q F#5 G5 B5", "C6 w", "B5 h A5", "D5 w"]
    oboe = ["D4 h F#4", "F#4 w", "G4 h G4", "A4 q A4 A4 A4", "G4 w", "F#4 w"]
    new = score(["C5 e C5 C5 C5 C5 C5 C5 C5", *flute], ["r w", *oboe])
    assert align(OLD, new).bars == (1, 2, 3, 4, 5, 6)


def test_an_empty_bar_that_was_filled_is_the_same_bar() -> None:
    old = score([*FLUTE[:3], "r w", *FLUTE[4:]], [*OBOE[:3], "r w", *OBOE[4:]])
    assert align(old, OLD).bars == (0, 1, 2, 3, 4, 5)


@pytest.mark.parametrize(
    ("labels", "bars"),
    [(["1", "2", "4", "5"], (0, 1, None, 2, 3)), (["2", "3", "4", "5"], (None, 0, 1, 2, 3))],
)
def test_printed_labels_decide_between_equal_bars(
    labels: list[str], bars: tuple[int | None, ...]
) -> None:
    old = score(["C5 w"] * 4 + ["D5 w"], ["r w"] * 5)
    new = score(["C5 w"] * 3 + ["D5 w"], ["r w"] * 4, labels)
    assert align(old, new).bars == bars


def test_parts_in_another_order_and_with_other_ids() -> None:
    new = table({"Ob": " | ".join(OBOE), "Fl": " | ".join(FLUTE)})
    assert [p.label for p in new.first_readings] == ["Ob", "Fl"]
    found = align(OLD, new)
    assert found.bars == (0, 1, 2, 3, 4, 5)
    ids = {p.label: p.id for p in new.first_readings}
    assert {p.label: found.parts[p.id] for p in OLD.first_readings} == ids


def test_a_part_with_another_name_is_known_by_its_notes() -> None:
    new = table({"Ob": " | ".join(OBOE), "Vl I": " | ".join(FLUTE)})
    found = align(OLD, new).parts
    flute = next(p.id for p in OLD.first_readings if p.label == "Fl")
    assert found[flute] == next(p.id for p in new.first_readings if p.label == "Vl I")


def test_a_part_that_is_gone_has_no_partner() -> None:
    new = table({"Ob": " | ".join(OBOE)})
    new = replace(new, parts=tuple(replace(p, id="P9") for p in new.parts))
    flute, oboe = (p.id for p in OLD.first_readings)
    assert align(OLD, new).parts == {oboe: "P9"}
    assert flute not in align(OLD, new).parts


def test_a_very_long_score_is_laid_by_its_equal_bars(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST_CELLS", 3)
    new = score(["E5 h B4 h", *FLUTE[:2], *FLUTE[3:]], ["r w", *OBOE[:2], *OBOE[3:]])
    assert align(OLD, new).bars == (1, 2, None, 3, 4, 5)


def test_nothing_on_nothing() -> None:
    empty = table({"Fl": "r w | r"})
    assert align(empty, empty).bars == (0, 1)
    assert align(OLD, empty).bars[0] in {None, 0}
