"""Sound while one reads: play and stop in reach, one key, the sounding place marked."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from typing import Any

import pytest
from django.urls import reverse

from courses.models import Course
from tests.browser import inside, pieces
from tests.browser.silent import silence
from tests.browser.story import expect
from tests.cast import Cast, enrol, make_course, read_for_real

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db]

Window = Callable[..., AbstractContextManager[Any]]

#: The line and the bar it should be in: the line's place, the bar's box, how far down each reaches.
LINE = """() => {
  const line = document.querySelector(".now-line")?.getBoundingClientRect();
  const mark = document.querySelector(".bar-mark.sounding");
  if (!line || !mark) return null;
  const page = mark.closest(".score-page");
  const staves = [...page.querySelectorAll(`g[data-bar="${mark.dataset.bar}"] g[data-part]`)];
  const feet = staves.map((s) => s.getBoundingClientRect().bottom);
  const box = mark.getBoundingClientRect();
  return { bar: Number(mark.dataset.bar), at: line.left, left: box.left, right: box.right,
    from: line.top, to: line.bottom, top: box.top, foot: Math.max(...feet) };
}"""
#: What of the marks the keyboard comes to lies under the player's bar when it has the focus.
COVERED = """() => {
  const bar = document.querySelector(".transport").getBoundingClientRect();
  const marks = [...document.querySelectorAll("#score .bar-mark")];
  return marks.filter((mark) => {
    mark.focus();
    const box = mark.getBoundingClientRect();
    return box.bottom > bar.top + 1 && box.top < bar.bottom;
  }).map((mark) => mark.textContent);
}"""


FETCHED = """() => performance.getEntriesByType("resource").map((e) => e.name)
  .filter((url) => /soundfont|spessasynth|sound\\.mid|timeline/.test(url)).length"""
SPARED = "Object.defineProperty(navigator, 'connection', { value: { saveData: true } })"


@pytest.fixture
def window(cast: Cast, browser: Any, drain_jobs: Callable[[], int]) -> Window:
    version = read_for_real(cast.tutor, pieces.orchestra(30))
    course = make_course(cast.tutor, Course.Form.OPEN)
    course.scores.add(version.score)
    enrol(course, cast.student)
    home = inside.HOST + reverse("read-score", args=[course.public_id, version.score.public_id])

    @contextmanager
    def opened(script: str = "", real: bool = False, **more: Any) -> Iterator[Any]:
        with inside.window(browser, cast.student, drain_jobs, **more) as page:
            if script:
                page.add_init_script(script)
            if not real:
                silence(page)
            page.goto(home)
            page.locator("#score .score-page svg").first.wait_for()
            yield page

    return opened


def begins(page: Any) -> None:
    page.keyboard.press("p")
    expect(page.locator(".transport").get_by_role("button", name="Pause")).to_be_in_viewport()
    page.wait_for_function(f"() => ({LINE})() !== null")


@pytest.mark.parametrize(("width", "motion"), [(1280, "no-preference"), (390, "reduce")])
def test_play_and_stop_are_in_reach_wherever_one_reads(
    window: Window, width: int, motion: str
) -> None:
    with window(viewport={"width": width, "height": 844}, reduced_motion=motion) as page:
        expect(page.locator(".transport")).to_have_count(0)
        begins(page)
        seen = page.evaluate(LINE)
        assert seen["left"] - 2 <= seen["at"] <= seen["right"] + 2
        assert seen["from"] <= seen["top"] + 30, "from the ruler ..."
        assert seen["to"] >= seen["foot"] - 2, "... through the whole system"
        page.keyboard.press("p")
        expect(page.get_by_role("button", name="Play", exact=True)).to_be_in_viewport()
        expect(page.locator(".now-line, .bar-mark.sounding")).to_have_count(0)
        assert page.evaluate(COVERED) == []
        page.evaluate("() => scrollTo({ top: document.body.scrollHeight, behavior: 'instant' })")
        expect(page.get_by_role("button", name="Play", exact=True)).to_be_in_viewport()
        assert page.evaluate("() => document.documentElement.scrollWidth - innerWidth") <= 0


def test_one_key_plays_pauses_and_goes_on_but_not_while_one_types(window: Window) -> None:
    with window() as page:
        begins(page)
        page.wait_for_function(f"() => ({LINE})()?.bar >= 1")
        page.keyboard.press("p")
        paused = page.locator(".transport .player-where").inner_text()
        page.keyboard.press("p")
        page.wait_for_function(f"() => ({LINE})() !== null")
        assert page.evaluate(LINE)["bar"] >= 1, f"it goes on where it was: {paused}"
        field = page.get_by_label("Go to bar")
        field.focus()
        page.keyboard.type("p")
        expect(page.get_by_role("button", name="Pause")).to_be_visible()
        field.fill("")
        field.blur()
        mark = page.locator("#score").get_by_role("button", name="Bar 4", exact=True)
        mark.click()
        page.keyboard.press("p")
        expect(page.get_by_role("button", name="Play", exact=True)).to_be_visible()
        page.keyboard.press("p")
        page.wait_for_function(f"() => ({LINE})()?.bar === 3", timeout=60_000)
        page.keyboard.press("?")
        expect(page.get_by_text("play what is chosen, pause, go on")).to_be_visible()


def test_in_one_line_the_place_is_marked_too_and_stays_in_sight(window: Window) -> None:
    with window(reduced_motion="no-preference") as page:
        page.get_by_label("Set").select_option("strip")
        page.locator("#score .sheet.strip .bar-mark").first.wait_for()
        begins(page)
        places = [page.evaluate(LINE)]
        page.wait_for_function(f"(bar) => ({LINE})()?.bar > bar", arg=places[0]["bar"])
        places.append(page.evaluate(LINE))
        for seen in places:
            assert seen["left"] - 2 <= seen["at"] <= seen["right"] + 2
            assert 0 < seen["at"] < 1280
        expect(page.locator(".bar-mark.sounding")).to_be_in_viewport()


def test_with_nothing_chosen_it_plays_from_where_one_reads(window: Window) -> None:
    with window() as page:
        field = page.get_by_label("Go to bar")
        field.fill("20")
        field.press("Enter")
        page.wait_for_function("() => Number(document.getElementById('score').dataset.place) > 5")
        page.keyboard.press("Escape")
        page.locator("#score").evaluate("(e) => { e.ownerDocument.activeElement.blur(); }")
        place = int(page.locator("#score").get_attribute("data-place"))
        begins(page)
        assert page.evaluate(LINE)["bar"] >= min(place, 19)


def test_what_the_sound_is_made_of_comes_in_a_quiet_moment(window: Window) -> None:
    with window(real=True) as page:
        page.wait_for_function(f"() => ({FETCHED})() >= 5")
        expect(page.get_by_role("button", name="Listen")).to_be_visible()


def test_a_connection_to_be_spared_is_spared_until_somebody_comes_near(window: Window) -> None:
    with window(script=SPARED, real=True) as page:
        # as quiet as the page gets: its own idle moment is over
        page.evaluate(
            "() => new Promise((done) => requestIdleCallback(() => setTimeout(done, 500)))"
        )
        assert page.evaluate(FETCHED) == 0
        page.get_by_role("button", name="Listen").hover()
        page.wait_for_function(f"() => ({FETCHED})() >= 5")
