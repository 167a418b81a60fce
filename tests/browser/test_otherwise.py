"""Hearing bars otherwise at a browser: played, played blind, guessed, counted; by keyboard."""

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

#: In the player's place one that makes no sound and says what it was given: its own tests hear it.
MUTE = """export class Player extends EventTarget {
  async use(midi) { this.size = midi.byteLength; }
  async playBars(first, last) {
    document.body.dataset.heard = `${first}-${last}: ${this.size > 0}`; this.#says(true);
  }
  stop() { this.#says(false); }
  pause() { this.#says(false); }
  #says(playing) { this.dispatchEvent(new CustomEvent("state", { detail: { playing } })); }
}"""


def test_bars_are_heard_otherwise_and_blind(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Callable[[], int]
) -> None:
    with inside.window(browser, cast.student, drain_jobs) as page:
        asked: list[str] = []
        mute = {"content_type": "text/javascript", "body": MUTE}
        page.route("**/js/player/player.js", lambda route: route.fulfill(**mute))
        page.on("request", lambda request: asked.append(request.url))
        read = reverse("read-score", args=[stage.course.public_id, stage.score.public_id])
        page.goto(inside.HOST + read)
        page.locator("#score .score-page svg").first.wait_for()
        box, said = page.locator("#otherwise"), page.locator("#otherwise-said")
        box.locator("summary").press("Enter")
        box.get_by_role("button", name="Play it otherwise").press("Enter")
        expect(box.get_by_role("button", name="Stop")).to_be_visible()
        box.get_by_role("button", name="Stop").press("Enter")
        expect(page.locator("body")).to_have_attribute("data-heard", "0-7: true")
        for turn in (1, 2):
            box.get_by_role("button", name="blind").press("Enter")
            guess = box.get_by_role("button", name="Otherwise", exact=True)
            guess.press("Enter")
            expect(page.locator("#otherwise-count")).to_contain_text(f"of {turn} heard")
            right = "Yes" in said.inner_text()
            assert said.inner_text() == (
                "Yes: it was the part left out." if right else "No: it was as it stands."
            )
            expect(guess).to_be_hidden()
        no_barrier(page)
        blind = [url for url in asked if "otherwise.mid" in url and "blind=" in url]
        assert len(blind) == 2
        assert not any("as=" in url for url in blind)
