"""A student's evening on a telephone: music first, the form one press away, bars by two taps."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from courses.models import Course, Prompt
from submissions.models import Observation
from tests.browser import inside, pieces
from tests.browser.story import expect
from tests.cast import Cast, Stage, enrol, make_course, note, read_for_real
from tests.rewrite import rewrite

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db]

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
WIDER = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
#: Pixels of engraved music that nothing covers: between what is above and the margin below.
MUSIC = """() => {
  const top = document.querySelector(".score-page svg").getBoundingClientRect().top;
  return document.querySelector(".margin").getBoundingClientRect().top - Math.max(0, top);
}"""


def bar(page: Any, number: int) -> Any:
    return page.locator("#score").get_by_role("button", name=f"Bar {number}", exact=True)


def test_a_large_score_opens_with_its_music(cast: Cast, browser: Any, drain_jobs: Any) -> None:
    version = read_for_real(cast.tutor, pieces.orchestra(30))
    course = make_course(cast.tutor, Course.Form.OPEN)
    course.scores.add(version.score)
    enrol(course, cast.student)
    home = reverse("read-score", args=[course.public_id, version.score.public_id])
    with inside.window(browser, cast.student, drain_jobs, **PHONE) as page:
        page.goto(inside.HOST + home)
        page.locator(".score-page svg").first.wait_for()
        assert page.evaluate(MUSIC) > PHONE["viewport"]["height"] / 2
        assert page.evaluate(WIDER) <= 0
        expect(page.get_by_label("Staves")).to_be_hidden()
        page.get_by_role("button", name="View and parts").tap()
        expect(page.get_by_label("Staves")).to_be_visible()
        page.get_by_role("button", name="Tell your tutor").tap()
        expect(page.get_by_label("What did you find?")).to_be_in_viewport()


def test_a_whole_evening_on_the_telephone(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Any
) -> None:
    """Read the note, choose by two taps, state three things, hand in."""
    rewrite(Prompt.objects.all(), wanted_min=3, wanted_max=5)
    note(stage, "Who comes with the violins?")
    with inside.window(browser, cast.student, drain_jobs, refusals=True, **PHONE) as page:
        page.goto(inside.HOST + reverse("desk"))
        page.get_by_role("link", name="First").tap()
        page.locator(".score-page svg").first.wait_for()
        assert page.evaluate(MUSIC) > PHONE["viewport"]["height"] / 3
        page.get_by_role("button", name="Show the margin").tap()
        page.get_by_role("button", name="Next", exact=True).tap()
        expect(page.locator("#walk-note")).to_be_in_viewport()
        expect(page.locator(".band").first).to_be_in_viewport()
        page.get_by_role("button", name="Lower the margin").tap()

        bar(page, 2).tap()
        expect(page.locator(".tapping")).to_contain_text("From bar 2: tap the last bar.")
        bar(page, 4).tap()
        expect(page.locator(".tapping")).to_be_hidden()
        say = page.get_by_role("button", name="Say what you see")
        expect(say).to_contain_text("2–4")
        say.tap()
        expect(page.locator("#s-bars")).to_have_value("2-4")
        expect(page.get_by_label("Say it in a sentence")).to_be_in_viewport()
        keep(page, 1, kind="doubling", parts="Flauto", with_="Violino I")
        keep(page, 2, kind="free", words="The cello walks in crotchets.")

        # One bar alone: the same one again, or the button; and a new pair of taps begins anew.
        page.get_by_role("button", name="Lower the margin").tap()
        bar(page, 3).tap()
        page.get_by_role("button", name="Only this").tap()
        bar(page, 1).tap()
        bar(page, 1).tap()
        expect(page.locator(".tapping")).to_be_hidden()
        assert page.evaluate("document.querySelectorAll('.bar-mark.on').length") == 1
        say.tap()
        expect(page.locator("#s-bars")).to_have_value("1")
        keep(page, 3, kind="free", words="All begin together.")
        page.get_by_role("button", name="Hand in", exact=True).tap()
        expect(page.locator("#paper-state")).to_contain_text("Your tutor reads it.")
        assert page.evaluate(WIDER) <= 0
    assert Observation.objects.filter(state="handed-in").count() == 3


def keep(
    page: Any, number: int, kind: str, words: str = "", parts: str = "", with_: str = ""
) -> None:
    form = page.locator("#statement")
    form.locator("#s-kind").select_option(value=kind)
    if parts:
        form.get_by_label("Parts", exact=True).fill(parts)
        form.locator("[name=k-with_]").fill(with_)
    if words:
        form.get_by_label("In your words").fill(words)
    form.get_by_role("button", name="Keep this statement").tap()
    expect(page.locator("#statements").get_by_role("listitem")).to_have_count(number)
