"""The bars chosen, in words and as a short score: a tutor at the desk, by pointer and keyboard."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.browser import story
from tests.browser.people import person
from tests.browser.pieces import serenade

pytestmark = [pytest.mark.browser, pytest.mark.slow]


def test_the_bars_chosen_are_told_and_reduced(embedded: Any, browser: Any, tmp_path: Path) -> None:
    file = tmp_path / "serenade.musicxml"
    file.write_bytes(serenade())
    with person(browser, embedded.url, "Wanda Word", "wanda", reduced_motion="reduce") as tutor:
        page = tutor.page
        story.tutor_signs_up(tutor)
        story.tutor_uploads(tutor, file)
        page.get_by_role("link", name="Confirm the parts").click()
        story.confirm_all(tutor)
        story.expect(page.locator(".place").first).to_contain_text("ready", timeout=240_000)
        page.locator("#score").get_by_role("button", name="Bar 4", exact=True).wait_for()

        page.get_by_text("The bars in words").click()
        page.get_by_text("Short score of the bars chosen").click()
        story.choose_bars(page, 1, 4)
        told = page.locator("#described")
        story.expect(told).to_contain_text("bars 1 to 4")
        story.expect(told).to_contain_text("doubled an octave lower by violins 1")
        told.get_by_text("As a table").click()
        story.expect(told.get_by_role("rowheader", name="Violino I")).to_be_visible()
        story.expect(told.get_by_role("cell", name="an octave below flute").first).to_be_visible()
        told.get_by_role("button", name="As your students read it before release").click()
        story.expect(told).not_to_contain_text("octave")
        story.expect(told).to_contain_text("Playing:")

        short = page.locator("#short-score")
        story.expect(short.locator("li").first).to_contain_text("Melody: flute")
        story.expect(short.get_by_role("button", name="Bar 4", exact=True)).to_be_visible()
        heads = short.locator("[data-from] .notehead")
        assert heads.count() > 16
        heads.first.click(force=True)
        story.expect(page.locator("#score .score-page .lit")).to_have_count(1)
        # by keyboard: a bar's number shows all that was taken from the bar
        short.get_by_role("button", name="Bar 1", exact=True).focus()
        page.keyboard.press("Enter")
        story.expect(page.locator("#score .score-page .lit").nth(3)).to_be_attached()
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
