"""The panel of how pages look: by keyboard, at once, and still so after a reload."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.urls import reverse

from tests.browser import inside
from tests.browser.story import expect
from tests.cast import Cast, Stage

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db]

SHEET = "() => getComputedStyle(document.querySelector('.sheet')).backgroundColor"


def test_a_reader_s_own_paper_letters_and_notation(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Callable[[], int]
) -> None:
    from axe_playwright_python.sync_playwright import Axe

    with inside.window(browser, cast.student, drain_jobs) as page:
        page.goto(inside.HOST + reverse("paper", args=[stage.assignment.public_id]))
        page.locator(".score-page svg").first.wait_for()
        white, wide = page.evaluate(SHEET), page.locator(".score-page svg").first.bounding_box()
        page.locator("#reader > summary").focus()
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")
        expect(page.get_by_label("Paper", exact=True)).to_be_focused()
        with page.expect_response("**/reader/"):
            page.keyboard.type("dark")
        assert page.evaluate(SHEET) != white
        with page.expect_response("**/view/**sheet=80**"):
            page.get_by_label("Notation").select_option(label="large print")
        page.get_by_label("Typeface").select_option(index=1)
        found = Axe().run(page).response
        assert [
            v["id"] for v in found["violations"] if v["impact"] in {"serious", "critical"}
        ] == []
        page.keyboard.press("Escape")
        expect(page.locator("#reader > summary")).to_be_focused()

        page.reload()
        root = page.locator("html")
        expect(root).to_have_attribute("data-theme", "dark")
        expect(root).to_have_attribute("data-type", "clear")
        page.locator(".score-page svg").first.wait_for()
        assert page.locator(".score-page svg").first.bounding_box()["height"] > wide["height"]
