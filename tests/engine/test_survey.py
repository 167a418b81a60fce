"""A survey of the page: what a reader writes down, cell by cell, against what is printed."""

from __future__ import annotations

from functools import cache

import pytest

from analysis.engine.model import ScoreTable
from analysis.engine.survey import OF_PAGE, OF_STAFF, cell_names, compare
from analysis.engine.survey_words import distance, fifths_said, semitones_said
from tests.engine.written import Part, table


@cache
def page() -> ScoreTable:
    return table(
        Part("2 Flauti", "'Andante con moto' C5 q 'a 2' E5 h. | 'dolce' C5 w", key=-2),
        Part("2 Clarinetti in La", "C5 w | r", transpose=(-3, -2), key=1),
        Part("Corni 1, 2 in Es", "C5+E5 w | G4 w", transpose=(-9, -5)),
        Part("Timpani", "C3 w | r", clef="F4"),
        Part("Violino I", "C5 w | C5 w", key=-2),
        Part("Viole", "'div.' C4+E4 w | clef:G2 C5 w", clef="C3", key=-2),
        Part("Violoncello e Contrabbasso", "C3 w | C3 w", clef="F4", key=-2),
        time="4/4",
    )


# cell, as typed, the mark. Facts of common practice: trade-usual names, crooks, transpositions.
CASES = [
    ("0-instrument", "flutes", "as-page"),
    ("0-instrument", "Flöten", "as-page"),
    ("0-instrument", "oboe", "look-again"),
    ("0-instrument", "whistling thing", "ask"),
    ("0-players", "2", "as-page"),
    ("0-players", "two", "as-page"),
    ("0-players", "one", "look-again"),
    ("0-players", "a few", "ask"),
    ("0-key", "2 flats", "as-page"),
    ("0-key", "bb", "as-page"),
    ("0-key", "2 sharps", "look-again"),
    ("0-crook", "none", "as-page"),
    ("0-transposition", "as written", "as-page"),
    ("1-transposition", "a minor third lower", "as-page"),
    ("1-transposition", "-3", "as-page"),
    ("1-transposition", "a minor third higher", "look-again"),
    ("1-transposition", "a third", "ask"),
    ("1-key", "1 sharp", "as-page"),
    ("1-crook", "in A", "as-page"),
    ("1-crook", "La", "as-page"),
    ("1-crook", "B flat", "look-again"),
    ("2-transposition", "a major sixth lower", "as-page"),
    ("2-transposition", "a minor third higher", "look-again"),
    ("2-crook", "E flat", "as-page"),
    ("2-crook", "Es", "as-page"),
    ("2-crook", "none", "look-again"),
    ("2-clef", "treble", "as-page"),
    ("2-key", "none", "as-page"),
    ("3-clef", "bass", "as-page"),
    ("3-crook", "C, G", "ask"),
    ("4-players", "a section", "as-page"),
    ("4-players", "12", "ask"),
    ("5-clef", "alto", "as-page"),
    ("5-clef", "alto, then treble", "ask"),
    ("5-clef", "alto and treble", "as-page"),
    ("5-clef", "tenor", "look-again"),
    ("6-instrument", "cellos and basses", "as-page"),
    ("6-instrument", "cellos and bassoons", "look-again"),
    ("6-transposition", "as written", "as-page"),
    ("6-transposition", "an octave lower", "as-page"),
    ("page-families", "woodwind, brass, timpani, strings", "as-page"),
    ("page-families", "brass, woodwind, timpani, strings", "look-again"),
    ("page-families", "upper, lower", "ask"),
    ("page-metre", "C", "as-page"),
    ("page-metre", "alla breve", "look-again"),
    ("page-tempo", "Andante con moto", "as-page"),
    ("page-tempo", "Andante", "look-again"),
    ("page-tempo", "Presto", "ask"),
    ("page-shared", "1-3, 7", "as-page"),
    ("page-shared", "1, 2", "look-again"),
    ("page-shared", "the flutes", "ask"),
    ("page-divided", "6", "as-page"),
    ("page-divided", "none", "look-again"),
    ("page-missing", "oboes, trombones", "as-page"),
    ("page-missing", "trumpets, bassoons and horns", "look-again"),
]


@pytest.mark.parametrize(("cell", "typed", "seen"), CASES)
def test_a_cell(cell: str, typed: str, seen: str) -> None:
    assert compare(page(), {cell: typed}, 0, 1)[cell].seen == seen


def test_a_title_may_stand_before_the_tempo() -> None:
    titled = table(Part("Flauto", "'Rondò. Allegretto (' C5 w"))
    assert compare(titled, {"page-tempo": "Allegretto"}, 0, 0)["page-tempo"].seen == "as-page"
    assert compare(titled, {"page-tempo": "Allegro"}, 0, 0)["page-tempo"].seen == "ask"


def test_every_column_and_question_has_a_case_of_right_and_of_wrong() -> None:
    for name in (*OF_STAFF, *OF_PAGE):
        marks = {seen for cell, _typed, seen in CASES if cell.partition("-")[2] == name}
        assert {"as-page", "look-again"} <= marks, name


def test_empty_cells_and_names_that_are_none_are_left_out() -> None:
    assert compare(page(), {"0-clef": "  ", "99-clef": "bass", "page-mood": "sad"}, 0, 1) == {}
    assert len(cell_names(7)) == 7 * len(OF_STAFF) + len(OF_PAGE)


def test_a_doubtful_part_is_the_tutor_s_but_for_what_is_printed() -> None:
    doubtful = table(Part("Quaxophone", "C5 w", key=-1))
    found = compare(doubtful, {"0-instrument": "flute", "0-transposition": "as written",
                               "0-clef": "treble", "0-key": "1 flat"}, 0, 0)  # fmt: skip
    assert {name: cell.seen for name, cell in found.items()} == {
        "0-instrument": "ask", "0-transposition": "ask", "0-clef": "as-page", "0-key": "as-page",
    }  # fmt: skip
    assert found["0-transposition"].page == ""


@pytest.mark.parametrize("semitones", range(-19, 15))
def test_a_distance_is_read_as_it_is_said(semitones: int) -> None:
    assert semitones_said(distance(semitones)) in (semitones, None)
    if abs(semitones) not in (15, 16, 18, 19):
        assert semitones_said(distance(semitones)) == semitones


def test_what_is_no_distance_and_no_signature_is_none() -> None:
    for text in ("in F", "a fifth", "lower", "a fifth lower or higher", "99", "a blue fifth lower"):
        assert semitones_said(text) is None, text
    for text in ("9 flats and a half", "red", "H"):
        assert fifths_said(text) is None, text
