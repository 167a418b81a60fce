"""The table of the page at a browser: filled in by keyboard, handed in, given back and read."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.urls import reverse

from courses.stages import new_stage
from submissions.models import Paper, Survey
from submissions.services.papers import release
from tests.browser import inside
from tests.browser.story import expect
from tests.cast import Cast
from tests.submissions.test_stages import staged

SEVERE = {"serious", "critical"}
pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db]


def no_barrier(page: Any) -> None:
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response
    assert [v["id"] for v in found["violations"] if v["impact"] in SEVERE] == []


def test_the_page_is_surveyed_by_keyboard(
    cast: Cast, browser: Any, drain_jobs: Callable[[], int]
) -> None:
    stage = staged(cast, new_stage("survey", table=True), new_stage("close-reading"))
    with inside.window(browser, cast.student, drain_jobs, refusals=True) as page:
        page.goto(inside.HOST + reverse("paper", args=[stage.assignment.public_id]))
        page.locator("#score .score-page svg").first.wait_for()
        no_barrier(page)
        first = page.get_by_label("Staff 1, Flauto: Clef")
        first.focus()
        for text in ("treble", "treble", "alto", "bass"):  # down the column, the third wrongly
            page.keyboard.type(text)
            page.keyboard.press("Enter")
        expect(page.get_by_label("Staff 5, Contrabbasso: Clef")).to_be_focused()
        page.get_by_label("Metre").fill("C")
        button = page.get_by_role("button", name="Hand in this stage")
        button.press("Enter")  # what was typed last has not been sent yet: it is waited for
        expect(page.locator("#stage-said")).to_contain_text("asks for 1 more")
        page.get_by_role("button", name="Hand in this stage all the same").press("Enter")
        done = page.locator(".survey-done")
        expect(done).to_have_count(1)
        expect(done).not_to_contain_text("look again")
        release(paper=Paper.objects.get(), by=cast.tutor)
        page.reload()
        expect(done.locator("summary")).to_contain_text("4 as the page · 1 look again")
        done.locator("summary").press("Enter")
        expect(done.locator("tbody tr").nth(2)).to_contain_text("look again")
        expect(done.locator("input")).to_have_count(0)
        assert Survey.objects.get().cells == {
            "0-clef": "treble", "1-clef": "treble", "2-clef": "alto", "3-clef": "bass",
            "page-metre": "C",
        }  # fmt: skip
        no_barrier(page)
