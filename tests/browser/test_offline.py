"""Ten minutes without a line: the page comes back from the browser, nothing typed is lost.

What is kept goes away with signing out, and when the score is withdrawn.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Error

from tests.browser.story import expect
from tests.browser.test_pages import Classroom, class_on

pytestmark = [pytest.mark.browser, pytest.mark.slow]

#: Addresses kept of the score in this browser.
KEPT = """async () => {
  if (!(await caches.has("reading-pages"))) return [];
  const keys = await (await caches.open("reading-pages")).keys();
  const paths = keys.map((request) => new URL(request.url).pathname);
  return paths.filter((path) => !path.startsWith("/offline-mark"));
}"""
ALL_KEPT = f"""async () => {{ const kept = await ({KEPT})();
  return ["/paper/", ".svg"].every((end) => kept.some((path) => path.endsWith(end))); }}"""
TAKE_DOWN = """async (score) => {
  const body = new FormData(), name = "csrfmiddlewaretoken";
  body.append(name, document.querySelector(`[name=${name}]`).value);
  await fetch(`${score}take-down/`, { method: "POST", body });
}"""


@pytest.fixture
def classroom(embedded: Any, browser: Any, tmp_path: Path) -> Iterator[Classroom]:
    """One for each test: what happens to the score here, happens for good."""
    with class_on(embedded, browser, tmp_path) as room:
        yield room


def keeps(page: Any) -> None:
    """Until the page and what one sees of the score are kept."""
    page.locator(".score-page svg").first.wait_for()
    page.wait_for_function("navigator.serviceWorker.controller !== null")
    page.wait_for_function(ALL_KEPT)


def test_ten_minutes_without_a_line(classroom: Classroom) -> None:
    student = classroom.open("reading")
    page, context = student.page, student.page.context
    keeps(page)
    page.get_by_role("button", name="Empty form").click()
    page.get_by_label("In your words").fill("Kept before the line went.")
    page.locator("#s-kind").select_option(value="free")
    page.locator("#s-bars").fill("5-6")
    expect(page.locator("#kept")).to_contain_text("kept ")
    page.clock.install()

    context.set_offline(True)
    page.get_by_label("In your words").fill("Kept before the line went, and after.")
    page.clock.fast_forward(5_000)
    expect(page.locator("#kept")).to_contain_text("No connection: kept in this browser")
    page.reload()
    page.locator(".score-page svg").first.wait_for()
    expect(page.locator(".desk > .score")).to_contain_text("No connection: this is the page as it")
    expect(page.locator("#statements")).to_contain_text("Kept before the line went")
    page.get_by_label("In your words").fill("A second one, without a line.")
    page.locator("#s-bars").fill("7-8")
    for _minute in range(10):
        page.clock.fast_forward(60_000)
    expect(page.locator("#kept")).to_contain_text("No connection: kept in this browser")
    page.reload()
    page.locator(".score-page svg").first.wait_for()

    context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    page.clock.fast_forward(60_000)
    student.complaints.clear()  # that there was no line
    expect(page.locator("#statements")).to_contain_text("A second one, without a line.")
    page.reload()
    for said in ("Kept before the line went, and after.", "A second one, without a line."):
        expect(page.locator("#statements")).to_contain_text(said)
    student.complaints.clear()


def test_what_is_kept_goes_with_signing_out_and_with_the_score(classroom: Classroom) -> None:
    student = classroom.open("reading")
    page, context = student.page, student.page.context
    keeps(page)
    student.press("Sign out")
    page.get_by_label("Password").wait_for()
    page.wait_for_function(f"async () => (await ({KEPT})()).length === 0")

    page.get_by_label("Name", exact=False).first.fill(student.login)
    page.get_by_label("Password").fill("a-quiet-bassoon-77")
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", level=1).wait_for()
    classroom.open("reading")
    page.reload()
    keeps(page)
    tutor = classroom.open("library").page
    tutor.evaluate(TAKE_DOWN, classroom.score)
    page.reload()
    page.wait_for_function(f"async () => (await ({KEPT})()).length === 0")
    context.set_offline(True)
    with contextlib.suppress(Error):  # the browser's own page, where the worker has gone, too
        page.reload()
        expect(page.locator("body")).to_contain_text("This page is not kept in your browser.")
    expect(page.locator(".score-page")).to_have_count(0)
    context.set_offline(False)
    student.complaints.clear()
