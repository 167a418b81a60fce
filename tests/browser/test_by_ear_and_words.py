"""Who does not see the page asks about a passage, and the accessibility tree answers.

Ten questions on each of three passages of the demo piece, asked of what a student's page tells
(neutral: no key, no role). Answers about notes and rests are checked against the file, read by
`tests.demo.scores` without the engine; those about loudness, metre and place are what the page
said when the questions were written, and are held against nothing outside.
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.urls import reverse

from tests.browser import inside
from tests.browser.story import expect
from tests.cast import Cast, enrol, make_course, publish, read_for_real
from tests.demo import scores

ENOUGH = 8  # of ten: the project's own promise
NAME = re.compile(r"([A-G])(#|b)?(-?\d)")

#: passage -> (question, where the answer stands, what it says). "words": the sentences; a part's
#: name: its row of the table, as bars that play ("x") and rest ("."), lowest, highest.
ASKED: dict[str, list[tuple[str, str, str]]] = {
    "4-7": [
        ("Which bars, of which movement?", "words", "I. Marcia, bars 4 to 7"),
        ("In what time?", "words", "four-four"),
        ("How loud?", "words", "piano"),
        ("Where does it grow?", "words", "crescendo in bar 7"),
        ("Who plays?", "words", "Playing: flute 1, bassoon 1, horn 1, strings"),
        ("Who joins for a time only?", "words", "for a time also horn 2"),
        ("Who is silent?", "words", "Silent: flute 2, oboes, clarinets"),
        ("Where does the flute come in?", "Flauto 1", ".xxx"),
        ("The highest note of the first violins?", "Violino I", "G5"),
        ("The lowest of the double basses?", "Contrabbasso", "A1"),
    ],
    "19-22": [
        ("Which bars, of which movement?", "words", "I. Marcia, bars 19 to 22"),
        ("In what time?", "words", "four-four"),
        ("Is everybody as loud?", "words", "loudness differing from part to part"),
        ("From where is it soft?", "words", "piano from bar 21"),
        ("Who comes when the clarinets have gone?", "words", "two oboes, bassoon 2, two horns"),
        ("Who is silent?", "words", "Silent: trumpets, timpani"),
        ("When do the clarinets stop?", "Clarinetto 1 in La", "xx.."),
        ("When do the first violins come in?", "Violino I", "..xx"),
        ("The highest note of the flute?", "Flauto 1", "E6"),
        ("The lowest of the cellos?", "Violoncello", "F#2"),
    ],
    "43-46": [
        ("Which bars, of which movement?", "words", "I. Marcia, bars 43 to 46"),
        ("In what time?", "words", "four-four"),
        ("How loud does it begin?", "words", "pianissimo"),
        ("When do the strings stop?", "words", "strings (bars 43 to 44)"),
        ("Who is silent?", "words", "Silent: trumpets, timpani"),
        ("How many staves are there?", "words", "Staves on the page: 17"),
        ("Who plays on when the strings have stopped: the flute?", "Flauto 1", "..xx"),
        ("And the violas?", "Viola", "xx.."),
        ("The highest note of the clarinet, as it sounds?", "Clarinetto 1 in La", "G5"),
        ("The lowest of the violas?", "Viola", "E3"),
    ],
}


def midi(name: str) -> int:
    found = NAME.fullmatch(name)
    assert found, name
    step, sign, octave = found.groups()
    return 12 * (int(octave) + 1) + scores.STEPS[step] + {"#": 1, "b": -1, None: 0}[sign]


def test_the_answers_are_those_of_the_file() -> None:
    piece = scores.movement(1)
    for bars, asked in ASKED.items():
        first, last = (piece.bar(label) for label in bars.split("-"))
        for _question, part, answer in asked:
            if part == "words":
                continue
            notes = [n for n in piece.parts[part].notes if first <= n.bar <= last]
            if set(answer) <= {"x", "."}:
                played = {n.bar for n in notes}
                assert answer == "".join(
                    "x" if b in played else "." for b in range(first, last + 1)
                )
            else:
                ends = {min(n.sounding for n in notes), max(n.sounding for n in notes)}
                assert midi(answer) in ends, f"{part}, {bars}: {answer}"


def answered(tree: str, where: str, answer: str) -> bool:
    """Whether it stands where one would look for it."""
    if where == "words":
        words = tree.partition("- table")[0]
        return answer in re.sub(r'\s*- (?:paragraph|text):\s*|"|\n\s*', " ", words)
    row = re.search(rf'row "{re.escape(where)} ([^"]*)"', tree)
    if row is None:
        return False
    cells = row[1].split()
    plays = "".join({"plays": "x", "rests": "."}.get(cell, "") for cell in cells)
    return answer == plays if set(answer) <= {"x", "."} else answer in cells[-2:]


@pytest.mark.browser
@pytest.mark.slow
@pytest.mark.django_db
def test_ten_questions_on_three_passages(cast: Cast, browser: Any, drain_jobs: Any) -> None:
    version = read_for_real(cast.tutor, scores.path(1).read_bytes())
    course = make_course(cast.tutor)
    enrol(course, cast.student)
    assignment = publish(course, version, prompt={"first_bar": 4, "last_bar": 7})
    with inside.window(browser, cast.student, drain_jobs) as page:
        page.goto(inside.HOST + reverse("paper", args=[assignment.public_id]))
        page.get_by_role("heading", name="The bars in words").click()
        for bars, asked in ASKED.items():
            page.locator("#describe-bars").fill(bars)
            page.get_by_role("button", name="Describe").click()
            told = page.locator("#described")
            expect(told).to_contain_text(f"bars {bars.replace('-', ' to ')}")
            told.get_by_text("As a table").click()
            expect(told.get_by_role("table")).to_be_visible()
            tree = told.aria_snapshot()
            missed = [q for q, where, answer in asked if not answered(tree, where, answer)]
            assert len(asked) == 10
            assert len(asked) - len(missed) >= ENOUGH, f"{bars}: {missed}\n{tree}"
