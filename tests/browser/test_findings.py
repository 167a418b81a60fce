"""The list of findings by keyboard, on a phone, in light and dark."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.browser import story
from tests.browser.people import Person, person
from tests.demo.scores import path

pytestmark = [pytest.mark.browser, pytest.mark.slow]

PHONE = {"width": 375, "height": 812}
DESK = {"width": 1280, "height": 900}
#: ids of notes lit on the sheet, and of those a sentence is proved by
LIT = "() => [...document.querySelectorAll('.score-page .lit')].map((n) => n.dataset.id).sort()"
PROOF = """(row) => [...new Set(JSON.parse(row.querySelector("script").textContent)
  .flatMap((e) => e.ids ?? []))].sort()"""
ACROSS = "() => document.documentElement.scrollWidth - innerWidth"


@pytest.fixture(scope="module")
def tutor(embedded: Any, browser: Any) -> Iterator[Person]:
    """A tutor before the first movement of the demo piece, bars 5-8 chosen."""
    with person(browser, embedded.url, "Isa Berg", "isa", reduced_motion="reduce") as who:
        story.tutor_signs_up(who)
        story.tutor_uploads(who, Path(path(1)))
        who.page.get_by_role("link", name="Confirm the parts").click()
        story.confirm_all(who)
        who.page.set_default_timeout(120_000)
        story.expect(who.page.locator(".place").first).to_contain_text("ready", timeout=120_000)
        yield who


@pytest.fixture
def page(tutor: Person) -> Any:
    page = tutor.page
    page.set_viewport_size(DESK)
    address = page.url.partition("#")[0]
    page.goto("about:blank")
    page.goto(f"{address}#b=5-8")
    page.locator("#findings [data-evidence]").first.wait_for()
    page.locator('.bar-mark[data-bar="5"]').first.wait_for()
    return page


def test_enter_lights_what_proves_a_sentence_and_again_puts_it_out(page: Any) -> None:
    said = page.locator("#findings [data-evidence]").filter(has_text="three octave levels")
    said.focus()
    page.keyboard.press("Enter")
    row = said.locator("xpath=ancestor::li[1]")
    page.locator(".score-page .lit").first.wait_for()
    lit = page.evaluate(LIT)
    assert lit == row.evaluate(PROOF)
    assert len(lit) == 48, "flute, bassoon and violins play sixteen notes each"
    story.expect(said).to_have_attribute("aria-pressed", "true")
    story.expect(said).to_be_focused()
    page.keyboard.press("Enter")
    assert page.evaluate(LIT) == []
    story.expect(said).to_have_attribute("aria-pressed", "false")


def test_arrows_lead_from_sentence_to_sentence(page: Any) -> None:
    all_said = page.locator("#findings [data-evidence]")
    all_said.nth(0).focus()
    page.keyboard.press("ArrowDown")
    story.expect(all_said.nth(1)).to_be_focused()
    page.keyboard.press("ArrowUp")
    story.expect(all_said.nth(0)).to_be_focused()


def test_folds_topics_and_bars_work_by_keyboard_alone(page: Any) -> None:
    fold = page.locator("#findings .fold > summary").filter(has_text="Unsure")
    fold.focus()
    page.keyboard.press("Enter")
    unsure = page.locator("#findings .fold .finding")
    unsure.first.wait_for()
    assert f"({unsure.count()})" in fold.inner_text()
    story.expect(unsure.first.locator(".conf")).to_be_visible()

    choice = page.locator("#kinds-choice > summary")
    choice.focus()
    page.keyboard.press("Enter")
    topic = page.locator("#kinds-choice [data-topic=doubling]")
    count = int(topic.locator(".num").inner_text())
    topic.focus()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="everything").wait_for()
    assert page.locator("#findings .told-section > ul > .finding").count() == count
    page.get_by_role("button", name="everything").focus()
    page.keyboard.press("Enter")
    page.locator("#findings .told-section").nth(2).wait_for()

    bars = page.locator("#findings [data-choose]").filter(has_text="0–12").first
    bars.focus()
    page.keyboard.press("Enter")
    story.expect(page.locator("#findings .told")).to_contain_text("Bars 0–12")


def test_a_merged_sentence_opens_into_its_findings(page: Any) -> None:
    row = page.locator("#findings .finding").filter(has_text="three octave levels").first
    more = row.locator(":scope > .finding-acts > summary")
    more.focus()
    page.keyboard.press("Enter")
    each = row.locator("details[data-url] > summary")
    story.expect(each).to_have_text("Each of its 3 findings by itself")
    each.focus()
    page.keyboard.press("Enter")
    inner = row.locator(".finding")
    story.expect(inner).to_have_count(3)
    story.expect(inner.first.get_by_text("I read it otherwise")).to_have_count(1)


def test_a_note_begins_with_the_sentence_and_its_bars(page: Any) -> None:
    row = page.locator("#findings .finding").filter(has_text="Viola supports").first
    row.locator(":scope > .finding-acts > summary").click()
    row.get_by_role("button", name="note on this").click()
    form = page.locator("#new-note form")
    story.expect(form.locator("[name=bars]")).to_have_value("5-6")
    assert form.locator("[name=text]").input_value().startswith("b. 5–6: Viola supports")
    assert '"reinforcement"' in form.locator("[name=finding]").input_value()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("window", [DESK, PHONE], ids=["desk", "phone"])
def test_the_list_fits_and_has_no_serious_barrier(page: Any, window: Any, scheme: str) -> None:
    from axe_playwright_python.sync_playwright import Axe

    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size(window)
    page.locator("#kinds-choice > summary").click()
    page.locator("#findings .finding-acts > summary").first.click()
    page.locator("#findings [data-evidence]").first.click()
    assert page.evaluate(ACROSS) <= 0
    small = page.locator("#findings :is(button, summary, a):visible").evaluate_all(
        "(all) => all.filter((e) => e.getBoundingClientRect().height < 24).map((e) => e.outerHTML)"
    )
    assert small == [], "24 px at least"
    found = Axe().run(page, context="#findings").response
    assert len(found["passes"]) > 10, "the checker looked at the list"
    severe = [v["id"] for v in found["violations"] if v["impact"] in ("serious", "critical")]
    page.emulate_media(color_scheme="light")
    assert severe == []
