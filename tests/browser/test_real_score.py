"""A large real score in the browser: confirmed, opened by passages, leafed through, read."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.browser import story
from tests.browser.people import person
from tests.browser.test_pages import RULER
from tests.corpora import require_corpora

pytestmark = [pytest.mark.browser, pytest.mark.corpora, pytest.mark.slow]

#: Brahms, Symphony No. 1, IV: 24 parts, 458 bars; two horns in C basso whose file is in doubt.
SCORE, BARS = "Brahms_Op.68_4.mxl", 458
CONFIRM_ACTS = 30  # keys and clicks for all parts: the project's own promise


def test_a_symphony_is_confirmed_and_read_by_passages(embedded: Any, browser: Any) -> None:
    file: Path = require_corpora() / "scores" / SCORE
    with person(browser, embedded.url, "Nora Feld", "nora", reduced_motion="reduce") as tutor:
        page = tutor.page
        page.set_default_timeout(240_000)
        story.tutor_signs_up(tutor)
        story.tutor_uploads(tutor, file)
        page.get_by_role("link", name="Confirm the parts").click()
        assert story.confirm_all(tutor) <= CONFIRM_ACTS
        story.expect(page.locator(".place").first).to_contain_text("ready", timeout=240_000)

        story.expect(page.get_by_label("Shown", exact=True)).to_have_value("0-11")
        page.get_by_role("button", name="Bar 12", exact=True).wait_for()
        page.get_by_role("button", name="On to bars 13–24").click()
        page.get_by_role("button", name="Bar 24", exact=True).wait_for()
        page.get_by_role("button", name="Back to bars 1–12").click()
        page.get_by_role("button", name="Bar 12", exact=True).wait_for()
        story.choose_bars(page, 1, 3)
        page.locator("#findings [data-evidence]").first.click()
        story.expect(page.locator(".score-page .lit").first).to_be_attached()
        assert [m for m in page.evaluate(RULER) if m["left"] > 2 or m["right"] > 2] == []
        assert [m for m in page.evaluate(RULER) if m["covered"]] == []

        page.get_by_label("Go to bar").fill(str(BARS - 4))
        page.keyboard.press("Enter")
        last = page.get_by_role("button", name=f"Bar {BARS}", exact=True)
        last.wait_for()
        story.expect(page.get_by_role("button", name="Later bars")).to_be_disabled()
        page.get_by_role("button", name="Earlier bars").click()
        page.get_by_role("button", name=f"Bar {BARS - 6}", exact=True).wait_for()
        story.expect(last).to_have_count(0)
