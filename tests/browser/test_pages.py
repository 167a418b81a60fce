"""Pages as one meets them: barriers, fit, the ruler over the bars, keyboard, telephone."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from tests.browser import pieces, story
from tests.browser.people import Person, person

pytestmark = [pytest.mark.browser, pytest.mark.slow]

SEVERE = {"serious", "critical"}
TELEPHONE = {"width": 390, "height": 844}


#: How far each number of the ruler is off its bar, and how many notes it lies on.
RULER = """() => {
  const all = (what) => [...document.querySelectorAll(what)];
  const boxes = (what) => all(what).map((e) => e.getBoundingClientRect());
  const ink = boxes("g.system .notehead, g.system .stem, g.system .accid");
  const across = (a, b) => a.right > b.left && a.left < b.right;
  const meet = (a, b) => across(a, b) && a.bottom > b.top && a.top < b.bottom;
  return all(".bar-mark").map((mark) => {
    const box = mark.getBoundingClientRect();
    const [bar] = boxes(`g[data-bar="${mark.dataset.bar}"] .staff path`);
    return {
      bar: mark.textContent,
      left: Math.abs(box.left - bar.left),
      right: Math.abs(box.right - bar.right),
      covered: ink.filter((note) => meet(note, box)).length,
    };
  });
}"""


@dataclass
class Classroom:
    """A site on which a paper waits for its ruling: the tutor, a student, and their addresses."""

    tutor: Person
    student: Person
    score: str
    assignment: str
    review: str = ""  # of the one statement, ruled or not

    def path(self, name: str) -> tuple[Person, str]:
        return {
            "desk": (self.tutor, "/"),
            "score": (self.tutor, self.score),
            "part confirmation": (self.tutor, f"{self.score}parts/"),
            "reading": (self.student, f"{self.assignment}paper/"),
            "review": (self.tutor, self.review),
            "board": (self.tutor, f"{self.assignment}board/"),
            "library": (self.tutor, "/library/"),
            "upload": (self.tutor, "/library/upload/"),
            "assignment": (self.tutor, self.assignment),
        }[name]

    def open(self, name: str) -> Person:
        who, path = self.path(name)
        who.go(path)
        if name in {"score", "reading", "review"}:
            who.page.locator(".score-page svg").first.wait_for()
        return who


@contextmanager
def class_on(site: Any, browser: Any, folder: Path) -> Iterator[Classroom]:
    """A classroom of its own on this site; the score is written into the folder."""
    file: Path = pieces.write(folder)
    with (
        person(browser, site.url, "Clara Sand", "clara") as tutor,
        person(browser, site.url, "Tom", "tom", reduced_motion="reduce") as student,
    ):
        story.tutor_signs_up(tutor)
        story.tutor_uploads(tutor, file)
        story.tutor_confirms(tutor)
        score = tutor.page.url.removeprefix(site.url)
        word = story.tutor_makes_a_course(tutor)
        story.tutor_writes_a_note(tutor)
        story.student_asks_in(student, word)
        story.tutor_says_yes(tutor, student)
        story.tutor_writes_an_assignment(tutor)
        story.student_opens_the_passage(student)
        paper = student.page.url.removeprefix(site.url)
        story.student_states(student)
        story.student_hands_in(student)
        room = Classroom(tutor, student, score, paper.removesuffix("paper/"))
        board = room.open("board").page
        statement = board.locator("table.board a.flag").first
        room.review = statement.get_attribute("href")
        yield room


@pytest.fixture(scope="module")
def classroom(
    embedded: Any, browser: Any, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Classroom]:
    with class_on(embedded, browser, tmp_path_factory.mktemp("score")) as room:
        yield room


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(
    "name", ["desk", "score", "part confirmation", "reading", "review", "board"]
)
def test_no_serious_barrier(classroom: Classroom, name: str, scheme: str) -> None:
    from axe_playwright_python.sync_playwright import Axe

    who = classroom.open(name)
    who.page.emulate_media(color_scheme=scheme)
    if name == "score":
        story.choose_bars(who.page, 1, 2)
        who.page.locator("#findings [data-evidence]").first.wait_for()
    found = Axe().run(who.page).response
    who.page.emulate_media(color_scheme="light")
    assert len(found["passes"]) > 20, "the checker looked at the page"
    severe = [
        f"{v['id']}: {v['help']}: {[n['html'][:120] for n in v['nodes'][:3]]}"
        for v in found["violations"]
        if v["impact"] in SEVERE
    ]
    assert severe == []


@pytest.mark.parametrize("path", ["/account/login/", "/account/signup/", "/account/password/reset/",
                                  "/join/"])  # fmt: skip
def test_no_serious_barrier_at_the_door(embedded: Any, browser: Any, path: str) -> None:
    from axe_playwright_python.sync_playwright import Axe

    with person(browser, embedded.url, "Nobody") as nobody:
        nobody.go(path)
        found = Axe().run(nobody.page).response
        assert [v["id"] for v in found["violations"] if v["impact"] in SEVERE] == []
        assert nobody.page.get_by_role("heading", level=1).count() == 1


def test_review_fits_one_screen(classroom: Classroom) -> None:
    """1280 x 800: statement, excerpt, flag, reply line and keys without scrolling."""
    page = classroom.open("review").page
    page.set_viewport_size({"width": 1280, "height": 800})
    try:
        page.locator(".score-page .lit").first.wait_for(state="attached")
        beyond = "document.documentElement.scrollHeight - document.documentElement.clientHeight"
        assert page.evaluate(beyond) <= 0
        accept = page.get_by_role("button", name=re.compile("Accept")).bounding_box()
        assert accept["y"] + accept["height"] <= 800
    finally:
        page.set_viewport_size({"width": 1440, "height": 900})


def test_the_ruler_stands_over_its_bars_and_covers_no_note(classroom: Classroom) -> None:
    page = classroom.open("score").page
    page.locator(".bar-mark").nth(7).wait_for(state="attached")
    off = page.evaluate(RULER)
    assert len(off) == 8
    assert [m for m in off if m["left"] > 2 or m["right"] > 2 or m["covered"]] == []


def test_the_margin_of_a_telephone_leaves_the_score_in_sight(classroom: Classroom) -> None:
    page = classroom.open("reading").page
    page.set_viewport_size(TELEPHONE)
    try:
        classroom.open("reading")
        margin = page.get_by_role("complementary", name="Margin")
        assert margin.bounding_box()["height"] < 60, "it lies low until it is wanted"
        page.get_by_role("button", name="Show the margin").click()
        height = margin.bounding_box()["height"]
        assert height <= TELEPHONE["height"] / 2
        page.get_by_role("button", name="Next", exact=True).click()
        story.expect(page.locator(".band").first).to_be_attached()
        page.wait_for_timeout(300)
        mark = page.get_by_role("button", name="Bar 1", exact=True).bounding_box()
        assert 0 <= mark["y"] < TELEPHONE["height"] - height, "the note's first bar is in sight"
        page.get_by_role("button", name="Lower the margin").click()
        assert margin.bounding_box()["height"] < 60
        sideways = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        assert page.evaluate(sideways) <= 0
    finally:
        page.set_viewport_size({"width": 1440, "height": 900})


@pytest.mark.parametrize("name", ["desk", "part confirmation", "review", "board", "library",
                                  "upload", "assignment"])  # fmt: skip
def test_no_page_runs_sideways_on_a_telephone(classroom: Classroom, name: str) -> None:
    page = classroom.open(name).page
    page.set_viewport_size(TELEPHONE)
    try:
        sideways = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        assert page.evaluate(sideways) <= 0
    finally:
        page.set_viewport_size({"width": 1440, "height": 900})


def test_a_statement_by_the_keyboard_alone(classroom: Classroom) -> None:
    """No pointer: read the note, choose bars in the ruler, state, keep, take back."""
    page = classroom.open("reading").page
    keys = page.keyboard
    keys.press("n")
    story.expect(page.locator("#walk-note")).to_contain_text("Follow the violins")
    _tab_to(page, "button", re.compile(r"^Bar \d"))
    keys.press("ArrowRight")
    keys.press("Enter")
    keys.press("Shift+ArrowRight")
    keys.press("ArrowDown")
    story.expect(page.locator("#s-bars")).to_have_value("2-3")
    story.expect(page.get_by_label("Parts", exact=True)).to_have_value("Flauto")
    keys.press("s")
    story.expect(page.get_by_label("Parts", exact=True)).to_be_focused()
    keys.type("Violoncello")
    keys.press("Tab")
    keys.type("Contrabbasso")
    keys.press("Enter")
    row = page.locator("#statements").get_by_role("listitem").filter(has_text="Violoncello")
    story.expect(row).to_have_count(1)
    story.expect(page.locator("#s-bars")).to_be_focused()
    _tab_to(page, "button", "Take back", within=row)
    keys.press("Enter")
    story.expect(row).to_have_count(0)
    focus = page.evaluate("document.activeElement.closest('aside') !== null")
    assert focus, "the focus stays in the margin when its row has gone"


def test_ruling_by_the_keyboard_alone(classroom: Classroom) -> None:
    """Without touching the pointer from the desk on; the focus is always to be seen."""
    page = classroom.open("desk").page
    _tab_to(page, "link", "First reading")
    page.keyboard.press("Enter")
    page.locator(".computed").wait_for()
    _tab_to(page, "textbox", "Reply")
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline != "none"
    page.keyboard.press("Escape")
    page.keyboard.press("2")
    story.expect(page.get_by_role("heading", level=1)).to_have_text("All statements are ruled")


def _tab_to(page: Any, role: str, name: Any, within: Any = None, most: int = 60) -> None:
    """Press Tab until the thing has the focus; fail after `most` presses."""
    wanted = (within or page).get_by_role(role, name=name)
    for _press in range(most):
        page.keyboard.press("Tab")
        for thing in wanted.all():
            if thing.evaluate("e => e === document.activeElement"):
                return
    pytest.fail(f"{role} “{name}” cannot be reached with the Tab key.")
