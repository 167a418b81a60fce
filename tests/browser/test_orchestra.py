"""A score of twenty parts: confirmed in few acts, its lit notes in sight."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest

from tests.browser import pieces, story
from tests.browser.people import Person, person

pytestmark = [pytest.mark.browser, pytest.mark.slow]

CONFIRM_ACTS = 30  # for twenty parts: the project's own promise
DESK = {"width": 1280, "height": 800}
TELEPHONE = {"width": 390, "height": 844}

#: Whether something lit lies in the window with neither its edge nor the margin over it.
LIT_IN_SIGHT = """() => {
  const margin = document.querySelector(".margin");
  const floor = getComputedStyle(margin).position === "fixed"
    ? Math.min(innerHeight, margin.getBoundingClientRect().top) : innerHeight;
  const aside = document.querySelector(".score").getBoundingClientRect().right;
  return [...document.querySelectorAll(".ring, .band, .rests-lit")].some((e) => {
    const b = e.getBoundingClientRect();
    const across = Math.min(b.right, aside) - Math.max(b.left, 0);
    const down = Math.min(b.bottom, floor) - Math.max(b.top, 0);
    return across >= Math.min(b.width, 12) && down >= Math.min(b.height, 8);
  });
}"""

#: Notes at the top and at the bottom of the page, early and late: bars, part lit.
NOTES = [("1-2", "P20"), ("5", "P1"), ("20-24", "P12"), ("39-40", "P19"), ("11-12", "P2"),
         ("30", "P18")]  # fmt: skip

#: The stop after them also sounds; its staff is the lowest of a system taller than the window.
SOUNDING = ("20-26", "P20")
STOPS = len(NOTES) + 1


@dataclass
class Room:
    tutor: Person
    student: Person
    score: str
    reading: str
    confirm_acts: int


def _write_note(
    tutor: Person, score: str, order: int, bars: str, part: str, *, sounds: bool = False
) -> None:
    page = tutor.page
    token = page.locator("input[name=csrfmiddlewaretoken]").first.get_attribute("value")
    course = page.locator("#note-course option").last.get_attribute("value")
    answer = page.request.post(
        f"{tutor.url}{score}notes/",
        form={"csrfmiddlewaretoken": token, "bars": bars, "order": str(order), "course": course,
              "text": f"Stop {order}: look at the lit part.", "lit": part, "when": "now",
              **({"sounding": part} if sounds else {})},
        headers={"Referer": tutor.url},
    )  # fmt: skip
    assert answer.ok, answer.text()


@pytest.fixture(scope="module")
def room(embedded: Any, browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Room]:
    file = tmp_path_factory.mktemp("score") / "orchestra.musicxml"
    file.write_bytes(pieces.orchestra())
    with (
        person(browser, embedded.url, "Vera Moll", "vera") as tutor,
        person(browser, embedded.url, "Jon", "jon") as student,
    ):
        story.tutor_signs_up(tutor)
        story.tutor_uploads(tutor, file)
        tutor.page.get_by_role("link", name="Confirm the parts").click()
        story.expect(tutor.page.get_by_role("row")).to_have_count(21)
        acts = story.confirm_all(tutor)
        story.expect(tutor.page.locator(".place").first).to_contain_text("ready")
        score = tutor.page.url.removeprefix(embedded.url)
        word = story.tutor_makes_a_course(tutor)
        tutor.go(score)
        for order, (bars, part) in enumerate(NOTES, 1):
            _write_note(tutor, score, order, bars, part)
        _write_note(tutor, score, len(NOTES) + 1, *SOUNDING, sounds=True)
        story.student_asks_in(student, word)
        story.tutor_says_yes(tutor, student)
        student.go("/")
        link = student.page.get_by_role("link", name="I. Andante").first
        yield Room(tutor, student, score, str(link.get_attribute("href")), acts)


def test_twenty_parts_are_confirmed_in_few_acts(room: Room) -> None:
    assert room.confirm_acts <= CONFIRM_ACTS


@pytest.mark.parametrize("window", [DESK, TELEPHONE], ids=["desk", "telephone"])
@pytest.mark.parametrize("zoomed", [False, True], ids=["plain", "zoomed"])
def test_every_stop_of_the_walk_is_in_sight(
    room: Room, window: dict[str, int], zoomed: bool
) -> None:
    page = room.student.page
    page.set_viewport_size(window)
    room.student.go(room.reading)
    page.evaluate("localStorage.clear()")
    room.student.go(room.reading)
    page.locator(".score-page svg").first.wait_for()
    if zoomed:
        for _n in range(4):
            page.locator("#larger").evaluate("(b) => b.click()")
    for stop in range(1, len(NOTES) + 1):
        page.locator("#walk-next").evaluate("(b) => b.click()")
        story.expect(page.locator("#walk-at")).to_have_text(f"{stop} of {STOPS}")
        page.wait_for_function(LIT_IN_SIGHT)
        page.wait_for_timeout(1200)  # what still arrives must not push it out again
        assert page.evaluate(LIT_IN_SIGHT), f"stop {stop} has slid out of sight"


@pytest.mark.parametrize("window", [DESK, TELEPHONE], ids=["desk", "telephone"])
def test_a_stop_that_sounds_stays_in_sight(room: Room, window: dict[str, int]) -> None:
    """Following the sounding bar must not take away what the note lights."""
    page = room.student.page
    page.set_viewport_size(window)
    room.student.go(room.reading)
    page.locator(".score-page svg").first.wait_for()
    for _stop in range(STOPS):
        page.locator("#walk-next").evaluate("(b) => b.click()")
    page.locator(".bar-mark.sounding").first.wait_for(timeout=120_000)
    page.wait_for_function(LIT_IN_SIGHT)
    seen = []
    for _look in range(12):
        page.wait_for_timeout(300)
        seen.append(page.evaluate(LIT_IN_SIGHT))
    assert page.locator(".bar-mark.sounding").count() == 1
    assert sum(seen) >= 9, f"lit staves in sight in {sum(seen)} of {len(seen)} looks"


@pytest.mark.parametrize("window", [DESK, TELEPHONE], ids=["desk", "telephone"])
def test_the_notes_of_a_finding_come_into_sight(room: Room, window: dict[str, int]) -> None:
    page = room.tutor.page
    page.set_viewport_size(window)
    room.tutor.go(f"{room.score}#b=38")
    page.locator('.bar-mark[data-bar="37"]').first.wait_for()
    page.locator('.bar-mark[data-bar="37"]').first.evaluate("(m) => m.click()")
    show = page.locator("#findings .told-section > ul [data-evidence]")
    show.first.wait_for()
    for n in range(min(4, show.count())):
        page.evaluate("window.scrollTo(0, 0)")
        show.nth(n).evaluate("(b) => b.click()")
        page.wait_for_function(LIT_IN_SIGHT)
        page.wait_for_timeout(800)
        assert page.evaluate(LIT_IN_SIGHT), f"finding {n + 1}"
