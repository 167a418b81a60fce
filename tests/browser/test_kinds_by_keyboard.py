"""Statements of the later kinds, stated by the keyboard alone and flagged for the tutor."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from tests.browser import pieces, story
from tests.browser.people import Person, person
from tests.browser.story import expect

pytestmark = [pytest.mark.browser, pytest.mark.slow]


def _choose(student: Person, kind: str) -> None:
    """Choose a kind by typing the beginning of its label; who types too slowly begins again."""
    page = student.page
    box = page.get_by_label("Kind", exact=True)
    box.focus()
    for _ in range(5):
        page.keyboard.type(kind)
        if box.locator("option:checked").inner_text().startswith(kind):
            break
        page.wait_for_timeout(2000)  # a list forgets what was typed before
    expect(box.locator("option:checked")).to_contain_text(kind)
    page.keyboard.press("Tab")


def _type(student: Person, label: str, text: str) -> None:
    field = student.page.locator("#kind-fields").get_by_label(re.compile(rf"^\s*{label}"))
    field.wait_for()
    field.focus()
    student.page.keyboard.type(text)


def _keep(student: Person, bars: str, kind: str) -> None:
    page = student.page
    desk = page.get_by_role("region", name="Say what you see")
    desk.get_by_label("Bars", exact=True).focus()
    page.keyboard.press("Control+A")
    page.keyboard.type(bars)
    page.get_by_role("button", name="Keep this statement").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#statements")).to_contain_text(kind)


def test_two_places_and_who_predominates(embedded: Any, browser: Any, tmp_path: Path) -> None:
    """In 1-4 the flute goes with the violins; in 5-8 it rests. The strings have most notes."""
    with (
        person(browser, embedded.url, "Nils Feld", "nils") as tutor,
        person(browser, embedded.url, "Kai", "kai") as student,
    ):
        story.tutor_signs_up(tutor)
        story.tutor_uploads(tutor, pieces.write(tmp_path))
        story.tutor_confirms(tutor)
        word = story.tutor_makes_a_course(tutor)
        story.student_asks_in(student, word)
        story.tutor_says_yes(tutor, student)
        story.tutor_writes_an_assignment(tutor)
        story.student_opens_the_passage(student)
        _choose(student, "Two places")
        _type(student, "The other place, bars", "5-8")
        _type(student, "Left out in the other place", "Fl")
        _keep(student, "1-4", "Two places compared")

        _choose(student, "Who predominates")
        _type(student, "Who predominates", "strings")
        _type(student, "By", "the notes")
        _keep(student, "1-8", "Who predominates")

        own = student.page.get_by_role("button", name="State one")  # a find nobody asked for
        own.focus()
        student.page.keyboard.press("Enter")
        expect(student.page.get_by_label("Answers", exact=True)).to_have_value("")
        _choose(student, "Something else")
        student.page.get_by_label("In your words").focus()
        student.page.keyboard.type("The close comes twice.")
        _keep(student, "7-8", "The close comes twice.")
        expect(own.locator("..")).to_contain_text("1 stated, 5 at most")
        story.student_hands_in(student)

        page = tutor.page
        tutor.go("/")
        page.get_by_role("link", name="First reading").click()
        for said in ("Flauto plays in bars 1–4 and rests in bars 5–8.", "Notes, of"):
            expect(page.locator(".computed")).to_contain_text(said)
            expect(page.locator(".computed .flag-agrees")).to_be_visible()
            page.wait_for_load_state("load")  # the keys are listened to from then on
            page.keyboard.press("a")
        expect(page.get_by_role("heading", level=1)).to_contain_text("Bars 7–8")
