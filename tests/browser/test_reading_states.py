"""Every state of the reading page: no barrier, light and dark, and every target large enough."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.urls import reverse

from submissions.services.papers import release
from submissions.services.rulings import rule
from tests.browser import inside
from tests.browser.silent import silence
from tests.browser.story import expect
from tests.browser.test_whole_by_keyboard import HERE, barriers
from tests.cast import Cast, Stage, handed_in, latest, note

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db]

#: What may be pressed and is smaller than 24 px; links within a sentence are the exception of
#: WCAG 2.2 (2.5.8), as is what stands alone with room around it.
SMALL = """() => {
  const pressed = "a[href], button, summary, select, input:not([type=hidden])";
  const text = (e) => e?.textContent.trim();
  const around = (e) => e.closest("p, li, dd, td, .about");
  const inText = (e) => e.matches("a") && around(e) && text(around(e)) !== text(e);
  const box = (e) => e.getBoundingClientRect();
  return [...document.querySelectorAll(pressed)]
    .filter((e) => box(e).width > 1 && box(e).height > 1 && !inText(e) && !e.closest("label"))
    .filter((e) => box(e).height < 23.5 || box(e).width < 23.5)
    .map((e) => `${e.outerHTML.slice(0, 80)} ${box(e).width} x ${box(e).height}`);
}"""


def looked_at(page: Any, state: str) -> list[str]:
    return [*barriers(page, state), *(f"{state}: {small}" for small in page.evaluate(SMALL))]


def test_every_state_of_the_page(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Callable[[], int]
) -> None:
    note(stage, "Who comes with the violins?")
    paper = handed_in(stage, cast.student)
    statement = latest(paper.observations.get())
    rule(statement=statement, by=cast.tutor, flag=statement.checks.get(current=True).flag)
    release(paper=paper, by=cast.tutor)
    with inside.window(browser, cast.student, drain_jobs) as page:
        page.goto(HERE + reverse("paper", args=[stage.assignment.public_id]))
        page.locator(".score-page svg").first.wait_for()
        page.get_by_role("button", name="Show the notes").first.click()
        expect(page.locator(".score-page .lit").first).to_be_visible()
        found = looked_at(page, "feedback")

        page.locator("#layers > summary").click()
        page.keyboard.press("3")
        page.locator(".lay").first.wait_for()
        found += looked_at(page, "layers after release")
        page.keyboard.press("3")

        page.get_by_label("Set").select_option(label="in one line")
        page.locator(".strip .score-page svg").first.wait_for()
        found += looked_at(page, "in one line")
        page.get_by_label("Set").select_option(label="in pages")
        page.get_by_role("button", name="Two places side by side").click()
        page.locator("#beside .score-page svg").first.wait_for()
        found += looked_at(page, "two places")
        page.locator("#beside [data-close]").click()

        page.locator("#staves-view").select_option("players")
        expect(page.locator(".editorial")).to_be_visible()
        page.locator(".score-page svg").first.wait_for()
        found += looked_at(page, "made staves")

        page.set_viewport_size({"width": 390, "height": 844})
        page.reload()
        page.locator(".score-page svg").first.wait_for()
        found += looked_at(page, "telephone")
        page.get_by_role("button", name="View and parts").click()
        page.get_by_role("button", name="Show the margin").click()
        found += looked_at(page, "telephone, all of it")
    assert found == []


def test_the_player_open(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Callable[[], int]
) -> None:
    with inside.window(browser, cast.student, drain_jobs) as page:
        silence(page)
        page.goto(HERE + reverse("paper", args=[stage.assignment.public_id]))
        page.locator(".score-page svg").first.wait_for()
        page.get_by_role("button", name="Listen").click()
        page.locator(".player-controls").wait_for()
        assert looked_at(page, "player") == []


@pytest.mark.parametrize("where", ["desk", "notebook", "finds", "courses", "words"])
def test_targets_of_the_pages_around(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Callable[[], int], where: str
) -> None:
    with inside.window(browser, cast.student, drain_jobs) as page:
        page.goto(HERE + reverse(where))
        assert page.evaluate(SMALL) == []
