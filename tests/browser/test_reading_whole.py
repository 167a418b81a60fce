"""Size, links that lead nowhere, and paper: the whole of a score by whatever way."""

from __future__ import annotations

from typing import Any

import pytest

from tests.browser.story import expect
from tests.browser.test_reading_place import page  # noqa: F401

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db]

#: Of a bar: its edges against those of the sheet one sees, and its height in the window.
BAR = """(label) => {
  const box = (e) => e.getBoundingClientRect();
  const all = (what) => [...document.querySelectorAll(`#score ${what}`)];
  const mark = all(".bar-mark").find((m) => m.textContent === label);
  const { top, bottom } = box(all(`g[data-bar="${mark.dataset.bar}"]`)[0]);
  const sheet = box(all(".sheet")[0]);
  return { left: box(mark).left - sheet.left, right: sheet.right - box(mark).right, top, bottom };
}"""
#: Printed names that are cut at the edge of the sheet.
CUT = """() => {
  const edge = document.querySelector("#score .sheet").getBoundingClientRect().left;
  const seen = (e) => getComputedStyle(e).visibility === "visible";
  return [...document.querySelectorAll("#score .label text, #score .labelAbbr text")]
    .filter((name) => seen(name) && name.getBoundingClientRect().left < edge).length;
}"""
PRINTED = """() => { window.printed = [];
  const missing = () => document.querySelectorAll(".score-page:not(:has(svg))").length;
  window.print = () => window.printed.push(missing());
}"""


def test_a_bar_stays_in_sight_from_half_to_four_times_its_size(page: Any) -> None:  # noqa: F811
    page.goto(page.home + "#b=1")
    bar = page.locator("#score").get_by_role("button", name="Bar 6", exact=True)
    bar.click()
    page.mouse.move(500, 500)
    page.mouse.wheel(0, 400)  # into the middle of a system higher than the window
    presses = 0
    while page.locator("#size-now").text_content() != "400 %" and presses < 9:
        page.keyboard.press("+")
        presses += 1
        at = page.evaluate(BAR, "6")
        assert at["left"] >= 0
        assert at["right"] >= 0
        assert at["top"] < 700
        assert at["bottom"] > 200
    assert presses == 6
    for left in (30, 90, 200):
        page.locator("#score .sheet").evaluate("(s, left) => { s.scrollLeft = left; }", left)
        page.locator(".rail-name").first.wait_for()
        assert page.evaluate(CUT) == 0
    for _ in range(12):
        page.keyboard.press("-")
    expect(page.locator("#size-now")).to_have_text("50 %")


def test_a_link_to_a_bar_that_is_not_there_says_so(page: Any) -> None:  # noqa: F811
    page.goto(page.home + "#b=77")
    told = page.locator(".no-bar")
    expect(told).to_have_text(
        "There is no bar 77 in this score: its bars go from 1 to 29. It opens where you were last."
    )
    page.locator("#score").get_by_role("button", name="Bar 1", exact=True).click()
    expect(told).to_have_count(0)


def test_every_page_is_on_the_paper(page: Any) -> None:  # noqa: F811
    page.goto(page.home)
    page.locator(".score-page svg").first.wait_for()
    page.wait_for_function("document.querySelectorAll('.score-page').length > 2")
    page.evaluate(PRINTED)
    page.get_by_role("button", name="Print", exact=True).click()
    page.wait_for_function("window.printed.length === 1")
    assert page.evaluate("window.printed") == [0]

    # By the browser's own menu: what is not there is said; and the key goes the way of the button.
    page.reload()
    page.locator(".score-page svg").first.wait_for()
    page.evaluate(
        "() => { const f = [...document.querySelectorAll('.score-page')].at(-1);"
        " f.replaceChildren(); window.dispatchEvent(new Event('beforeprint')); }"
    )
    page.emulate_media(media="print")
    expect(page.locator(".print-gap")).to_contain_text("1 page of the score had not been fetched")
    page.emulate_media(media="screen")
    expect(page.locator(".print-gap")).to_be_hidden()
