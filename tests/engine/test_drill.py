"""Transposing by hand: notes of the score, answers out of its table, slips told apart."""

from __future__ import annotations

from functools import cache

import pytest

from analysis.engine.drill import (
    MOST,
    choices,
    judge,
    question_of,
    questions,
    read_said,
    transposing,
)
from analysis.engine.model import ScoreTable
from analysis.engine.note_told import told
from analysis.engine.pitch import parse_pitch
from tests.engine.written import Part, table


@cache
def page() -> ScoreTable:
    return table(
        Part("Ottavino", "C5 q D5 E5 F5 | C5 w", transpose=(12, 7)),
        Part("Clarinetto in La", "C5 q D5 E5 F5 | C5~ w | C5 w", transpose=(-3, -2)),
        Part("Corno in Fa", "C5 h G4 | clef:F4 C3 w | D5 w", transpose=(-7, -4)),
        Part("Violino I", "C5 w | D5 w | E5 w"),
        Part("Contrabbasso", "C3 w | D3 w | E3 w", clef="F4", transpose=(-12, -7)),
    )


def names(part: str) -> list[tuple[str, str]]:
    """Written and sounding, as asked about one part."""
    ids = {r.label: r.id for r in page().first_readings}
    asked = questions(page(), 0, 2, [ids[part]])
    return sorted((q.given("sounds").name, q.wanted("sounds").name) for q in asked)


def test_only_what_transposes_is_asked_each_pitch_once_the_parts_in_turn() -> None:
    asked = questions(page(), 0, 2)
    labels = [q.told.reading.label for q in asked]
    assert labels[:4] == ["Ottavino", "Clarinetto in La", "Corno in Fa", "Contrabbasso"]
    assert "Violino I" not in labels
    assert len({(q.told.reading.label, q.given("sounds")) for q in asked}) == len(asked) <= MOST
    assert [r.label for r in transposing(page())] == labels[:4]
    assert {q.told.bar for q in questions(page(), 1, 1)} == {1}
    assert questions(page(), 0, 2, ["none"]) == []
    assert {q.note_id for q in questions(page(), 0, 2, seed=1)} == {q.note_id for q in asked}


def test_the_answers_are_those_of_common_practice() -> None:
    assert names("Corno in Fa")[-1] == ("G4", "C4")
    assert ("C5", "F4") in names("Corno in Fa")  # horn in F: a fifth lower
    assert ("C5", "A4") in names("Clarinetto in La")  # clarinet in A: a minor third lower
    assert ("C5", "C6") in names("Ottavino")
    assert ("C3", "C2") in names("Contrabbasso")


def test_every_answer_is_the_table_s() -> None:
    for q in questions(page(), 0, 2):
        facts = told(page(), q.note_id)
        assert facts is not None
        assert (q.given("sounds"), q.wanted("sounds")) == (facts.written, facts.sounding)
        assert (q.given("written"), q.wanted("written")) == (facts.sounding, facts.written)


def test_the_clef_is_the_one_at_the_note() -> None:
    horn = [q for q in questions(page(), 0, 2) if q.told.reading.label == "Corno in Fa"]
    assert {q.clef for q in horn if q.told.bar == 0} == {"G2"}
    assert {q.clef for q in horn if q.told.bar == 1} == {"F4"}


def test_the_answer_stands_once_among_the_choices() -> None:
    for q in questions(page(), 0, 2):
        for way in ("sounds", "written"):
            found = choices(q, way)
            assert found.count(q.wanted(way)) == 1
            assert len({p.midi for p in found}) == len(found) == 4
            assert [judge(q, way, p) for p in found].count("right") == 1


HORN = "C5"  # written; on the horn in F it sounds F4


@pytest.mark.parametrize(
    ("said", "outcome"),
    [("F4", "right"), ("Fa 4", "right"), ("f'", "right"), ("F5", "octave"), ("F3", "octave"),
     ("C5", "as-given"), ("G5", "other-way"), ("E#4", "enharmonic"), ("A4", "wrong"),
     ("F", "no-octave")],
)  # fmt: skip
def test_slips_are_told_apart(said: str, outcome: str) -> None:
    asked = questions(page(), 0, 2)
    horn = [q for q in asked if q.told.reading.label == "Corno in Fa"]
    q = next(q for q in horn if q.given("sounds").name == HORN)
    pitch, is_note = read_said(said)
    assert is_note
    assert judge(q, "sounds", pitch) == outcome


def test_the_other_way_asks_for_what_is_written() -> None:
    q = next(q for q in questions(page(), 0, 2) if q.told.reading.label == "Contrabbasso")
    low, high = q.wanted("sounds"), q.given("sounds")
    assert judge(q, "written", high) == "right"
    assert judge(q, "written", low) == "as-given"
    assert judge(q, "written", parse_pitch(f"{low.name[:-1]}{low.octave + 2}")) == "octave"


def test_what_does_not_transpose_is_no_question() -> None:
    violin = next(i for i, r in enumerate(page().first_readings) if r.label == "Violino I")
    row = page().notes[page().notes["part"] == violin][0]
    assert question_of(page(), page().ids[row["src"]]) is None
    assert question_of(page(), "nowhere") is None
    assert read_said("a walrus") == (None, False)


def test_old_notation_is_named_where_the_part_is_read_so() -> None:
    old = table(Part("Corno in Fa", "clef:F4 C2 w | clef:G2 C5 w", transpose=(-7, -4)))
    found = {q.told.bar: q for q in questions(old, 0, 1)}
    assert (found[0].old_bass_clef, found[1].old_bass_clef) == (True, False)
    # Written an octave too low: the horn in F sounds a fourth higher than the page.
    assert (found[0].given("sounds").name, found[0].wanted("sounds").name) == ("C2", "F2")
    assert not found[0].told.lower
