"""The reading page keeps its place: address, reload, size, letters, one line, rulers in sight."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import Any

import pytest
from django.urls import reverse

from courses.models import Course
from tests.browser import inside, pieces
from tests.browser.story import expect
from tests.cast import Cast, enrol, make_course, read_for_real

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db]

#: The bar under one's eyes: the first whose ruler lies at or below the top, at the left.
TOP = """() => [...document.querySelectorAll("#score .bar-mark")]
  .find((m) => m.getBoundingClientRect().bottom > 0)?.textContent"""
AWAY = """(label) => { const mark = [...document.querySelectorAll("#score .bar-mark")]
  .find((m) => m.textContent === label); return mark ? mark.getBoundingClientRect().top : null; }"""
#: The address has caught up with the place, which is no longer bar 9 (index 8).
SETTLED = """() => { const { place } = document.getElementById("score").dataset;
  const { label } = JSON.parse(document.getElementById("outline").textContent).bars[place];
  return place !== "8" && location.hash.startsWith(`#b=${label}`); }"""
ADDRESSES = """async () => {
  const { readAddress, writeAddress } = await import("/static/js/score/bars.js");
  const outline = JSON.parse(document.getElementById("outline").textContent);
  return outline.bars.map(({ i }) => {
    const address = writeAddress(outline, i);
    return [address, readAddress(address, outline).b?.first === i];
  });
}"""
#: Bars typed and read again where two movements have the same numbers.
MOVEMENTS = """async () => {
  const { parseBars, readAddress, typeBars, writeAddress } =
    await import("/static/js/score/bars.js");
  const bars = ["1", "2", "1", "2"].map((label, i) => ({ i, label, nth: 1, passes: [1] }));
  const outline = { bars, letters: [],
    movements: [{ index: 0, first: 0, last: 1 }, { index: 1, first: 2, last: 3 }] };
  const address = writeAddress(outline, 0, { beside: { first: 2, last: 3 } });
  const { c } = readAddress(address, outline);
  return [typeBars(0, 1, outline), typeBars(2, 3, outline), parseBars("II: 1-2", outline).first,
    parseBars("1-2", outline).first, parseBars("III: 1", outline), c.first, address];
}"""
#: Names at the left against the middle of their staff, in the system that holds them.
NAMES = """() => {
  const all = (what, inside = document) => [...inside.querySelectorAll(what)];
  const box = (e) => e.getBoundingClientRect();
  const { parts } = JSON.parse(document.getElementById("outline").textContent);
  const staves = all("#score g.system").flatMap((system) => {
    const bar = system.querySelector("g[data-bar]");
    return all("g[data-part]", bar).map((staff) => {
      const lines = all("path", staff).filter((p) => p.parentElement === staff).map(box);
      const name = parts.find((p) => p.id === staff.dataset.part).label;
      return { name, middle: (lines[0].top + lines[4].bottom) / 2 };
    });
  });
  return all("#score .rail-name").map((name) => {
    const middle = (box(name).top + box(name).bottom) / 2;
    const own = staves.filter((s) => s.name === name.textContent);
    return Math.min(...own.map((s) => Math.abs(s.middle - middle)));
  });
}"""
TILES = """() => [...document.querySelectorAll("#score .score-page:not(.later)")].map((f) => {
  const box = f.querySelector("svg").getBoundingClientRect();
  const bars = [...f.querySelectorAll("g[data-bar]")].map((g) => Number(g.dataset.bar));
  const line = f.querySelector("g[data-bar] .staff path").getBoundingClientRect().top;
  return { left: box.left, right: box.right, first: bars[0], last: bars.at(-1), line };
})"""


def piece() -> bytes:
    """The orchestra with letters at bars 9 and 18, and bars 16a, 16b under endings."""
    text = pieces.orchestra(30).decode()
    for number in range(17, 31):
        name = "16b" if number == 17 else str(number - 1)
        text = text.replace(f'<measure number="{number}">', f'<measure number="{name}">')
    ending = '<barline location="left"><ending number="{n}" type="start"/></barline>'
    text = text.replace('<measure number="16">', '<measure number="16a">' + ending.format(n=1))
    text = text.replace('<measure number="16b">', '<measure number="16b">' + ending.format(n=2))
    stops = {"16a": '<ending number="1" type="stop"/><repeat direction="backward"/>',
             "16b": '<ending number="2" type="discontinue"/>'}  # fmt: skip
    for bar, stop in stops.items():
        head, *rest = text.split(f'<measure number="{bar}">')
        ended = [r.replace("</measure>", f'<barline location="right">{stop}</barline></measure>', 1)
                 for r in rest]  # fmt: skip
        text = f'<measure number="{bar}">'.join([head, *ended])
    for letter, bar in (("A", "9"), ("B", "18")):
        sign = (f"<direction placement='above'><direction-type><rehearsal>{letter}</rehearsal>"
                "</direction-type></direction>")  # fmt: skip
        text = text.replace(f'<measure number="{bar}">', f'<measure number="{bar}">{sign}', 1)
    return text.encode()


@pytest.fixture
def page(cast: Cast, browser: Any, drain_jobs: Callable[[], int]) -> Iterator[Any]:
    version = read_for_real(cast.tutor, piece())
    course = make_course(cast.tutor, Course.Form.OPEN)
    course.scores.add(version.score)
    enrol(course, cast.student)
    with inside.window(browser, cast.student, drain_jobs) as window:
        window.home = inside.HOST + reverse(
            "read-score", args=[course.public_id, version.score.public_id]
        )
        yield window


def follows(page: Any, hash_: str) -> None:
    page.wait_for_function("(wanted) => location.hash === wanted", arg=hash_)


def test_the_page_keeps_its_place(page: Any) -> None:
    page.goto(page.home + "#b=16b,2")
    mark = page.locator("#score").get_by_role("button", name="Bar 16b", exact=True)
    expect(mark).to_be_in_viewport()
    assert page.evaluate("() => location.hash") == "#b=16b,2", "the pass asked for stays"
    assert all(same for _, same in page.evaluate(ADDRESSES))
    said = ["1-2", "II: 1-2", 2, 0, None, 2, "#m=1&b=1&n=2&c=1-2"]
    assert page.evaluate(MOVEMENTS) == said

    # Scrolling rewrites the address and adds nothing to the history; a leap adds one step.
    steps = page.evaluate("() => history.length")
    page.mouse.move(400, 500)
    page.mouse.wheel(0, -6000)
    follows(page, "#b=1")
    assert page.evaluate("() => history.length") == steps
    page.get_by_label("Letter").select_option(label="B")
    follows(page, "#b=18")
    expect(page.locator("#score").get_by_role("button", name="Bar 18", exact=True)).to_be_focused()
    assert page.evaluate("() => history.length") == steps + 1
    page.go_back()
    follows(page, "#b=1")
    expect(
        page.locator("#score").get_by_role("button", name="Bar 1", exact=True)
    ).to_be_in_viewport()
    page.get_by_label("Go to bar").fill("a")
    page.keyboard.press("Enter")
    follows(page, "#b=9")
    page.get_by_label("Go to bar").fill("99")
    page.keyboard.press("Enter")
    assert page.get_by_label("Go to bar").evaluate("(field) => field.validity.customError")
    page.get_by_label("Go to bar").fill("")

    # Four times the size: the same bar at the top, names and numbers in sight; so after a reload.
    page.locator("#score .bar-mark").first.focus()
    before = page.evaluate(AWAY, "9")
    for _ in range(7):
        page.keyboard.press("+")
    expect(page.locator("#size-now")).to_have_text("400 %")
    assert abs(page.evaluate(AWAY, "9") - before) < 3
    page.locator("#score .sheet").evaluate("(sheet) => { sheet.scrollLeft = 1200; }")
    page.mouse.wheel(0, 900)  # as a reader scrolls: one who does ends the journey to a bar
    expect(page.locator(".rail.on .rail-bars")).to_be_visible()
    expect(page.locator(".rail-mark").first).to_be_visible()
    page.locator(".rail-name").first.wait_for()
    assert max(page.evaluate(NAMES)) < 3
    page.wait_for_function(SETTLED)
    place = page.evaluate("() => location.hash")
    assert place != "#b=9"
    page.reload()
    expect(page.locator("#size-now")).to_have_text("400 %")
    number = place.removeprefix("#b=").split(",")[0]
    again = page.locator("#score").get_by_role("button", name=f"Bar {number}", exact=True)
    expect(again).to_be_in_viewport()
    page.wait_for_function("(place) => location.hash === place", arg=place)


def test_one_endless_line(page: Any) -> None:
    page.goto(page.home)
    page.locator(".score-page svg").first.wait_for()
    page.get_by_label("Set").select_option(label="in one line")
    page.locator(".strip .score-page svg").first.wait_for()
    page.get_by_label("Go to bar").fill("29")
    page.keyboard.press("Enter")
    last = page.locator("#score").get_by_role("button", name="Bar 29", exact=True)
    expect(last).to_be_in_viewport()
    for figure in page.locator(".strip .score-page").all():
        figure.scroll_into_view_if_needed()
    expect(page.locator(".strip .score-page.later")).to_have_count(0)
    tiles = page.evaluate(TILES)
    assert [(t["first"], t["last"]) for t in tiles] == [(0, 7), (8, 15), (16, 23), (24, 29)]
    assert max(abs(a["right"] - b["left"]) for a, b in pairwise(tiles)) < 1
    assert max(t["line"] for t in tiles) - min(t["line"] for t in tiles) < 0.5
    page.get_by_label("Go to bar").fill("16a")
    page.keyboard.press("Enter")
    follows(page, "#b=16a")
    page.locator(".rail-name").first.wait_for()
    assert max(page.evaluate(NAMES)) < 1
    page.reload()
    expect(
        page.locator(".strip").get_by_role("button", name="Bar 16a", exact=True)
    ).to_be_in_viewport()


def test_a_line_is_engraved_around_the_place_one_reads(
    cast: Cast, browser: Any, drain_jobs: Callable[[], int]
) -> None:
    version = read_for_real(cast.tutor, pieces.orchestra(80))
    course = make_course(cast.tutor, Course.Form.OPEN)
    course.scores.add(version.score)
    enrol(course, cast.student)
    home = reverse("read-score", args=[course.public_id, version.score.public_id])
    with inside.window(browser, cast.student, drain_jobs) as window:
        window.goto(inside.HOST + home + "#b=70")
        bar = window.locator("#score").get_by_role("button", name="Bar 70", exact=True)
        expect(bar).to_be_in_viewport()
        asked: list[str] = []
        window.on("request", lambda r: asked.append(r.url) if "/view/?" in r.url else None)
        window.get_by_label("Set").select_option(label="in one line")
        expect(window.locator(".strip .bar-mark[data-bar='69']")).to_be_in_viewport()
        spans = [tuple(map(int, re.findall(r"(?:first|last)=(\d+)", url))) for url in asked]
        assert spans[0] == (64, 79)
        assert set(spans) <= {(64, 79), (32, 63)}, "nothing from the start"
        expect(window.locator(".strip .score-page")).to_have_count(10)
        window.reload()
        expect(window.locator(".strip .bar-mark[data-bar='69']")).to_be_in_viewport()


def test_two_places_side_by_side(page: Any) -> None:
    page.goto(page.home + "#b=1")
    page.locator("#score .score-page svg").first.wait_for()
    page.get_by_role("button", name="Two places side by side").click()
    beside = page.get_by_role("region", name="A second place")
    beside.get_by_label("Beside it, bars").fill("18-21")
    page.keyboard.press("Enter")
    expect(beside.get_by_role("button", name="Bar 21", exact=True)).to_be_attached()
    expect(beside.get_by_role("button", name="Bar 22", exact=True)).to_have_count(0)
    one, two = (page.locator(f"{part} .sheet").bounding_box() for part in ("#score", "#beside"))
    assert one["x"] + one["width"] <= two["x"]
    assert abs(one["height"] - two["height"]) < 2
    assert one["height"] <= 900
    follows(page, "#b=1&c=18-21")

    page.reload()
    expect(beside.get_by_role("button", name="Bar 18", exact=True)).to_be_attached()
    beside.get_by_role("button", name="Close").click()
    follows(page, "#b=1")
    expect(beside).to_be_hidden()
    page.go_back()
    expect(beside.get_by_role("button", name="Bar 18", exact=True)).to_be_attached()
