"""Transposing by hand at a browser, by keyboard: the note asked is lit, the slip is told."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.urls import reverse

from tests.browser import inside
from tests.browser.story import expect
from tests.browser.test_survey import no_barrier
from tests.cast import Cast, Stage

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db]


def test_a_note_is_asked_and_answered_by_keyboard(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Callable[[], int]
) -> None:
    with inside.window(browser, cast.student, drain_jobs) as page:
        read = reverse("read-score", args=[stage.course.public_id, stage.score.public_id])
        page.goto(inside.HOST + read)
        page.locator("#score .score-page svg").first.wait_for()
        drill, told = page.locator("#drill"), page.locator("#drill-told")
        drill.locator("summary").press("Enter")
        page.locator("#drill-next").press("Enter")
        expect(page.locator("#drill-asks")).to_contain_text("what sounds?")
        expect(page.locator("#drill-choices button")).to_have_count(4)
        page.locator("#drill-part").select_option(label="Contrabbasso")
        expect(page.locator("#drill-asks")).to_contain_text("Contrabbasso")
        asked = page.locator("#drill-asks").inner_text().split("written ")[1].split(":")[0]
        note, octave = asked.rsplit(" ", 1)
        expect(page.locator("#score .lit")).to_have_count(1)
        lit = page.locator("#score .lit").get_attribute("data-id")
        assert lit.startswith("n4-")  # on the staff of the basses

        page.get_by_role("button", name=asked, exact=True).press("Enter")
        expect(told).to_contain_text("That is the note as it was given.")
        expect(told).to_contain_text("an octave lower than written")
        page.locator("#drill-said").fill(f"{note}{int(octave) - 1}")
        page.keyboard.press("Enter")
        expect(told).to_contain_text("Right.")
        expect(page.locator("#drill-count")).to_have_text("0 of 1 at the first try")
        expect(page.locator("#drill-next")).to_be_focused()
        no_barrier(page)

        # Asked the other way, the page in written pitch would answer: it lights nothing yet.
        page.locator("#drill-way").select_option("written")
        expect(page.locator("#drill-asks")).to_contain_text("how is it written?")
        expect(page.locator("#score .lit")).to_have_count(0)
        page.locator("#drill-choices button").first.press("Enter")
        expect(page.locator("#score .lit")).to_have_count(1)
