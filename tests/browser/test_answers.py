"""A paper given back: the lines of a flag heard alone beside it, and asking back in place."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.urls import reverse

from submissions.models import Message
from submissions.services.papers import release
from submissions.services.rulings import rule
from tests.browser import inside
from tests.browser.silent import silence
from tests.browser.story import expect
from tests.browser.test_survey import no_barrier
from tests.cast import OCTAVE, Cast, Stage, handed_in, latest

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db]

CHANNELS = "() => [...window.heard].sort((a, b) => a - b)"


@pytest.fixture
def given_back(cast: Cast, stage: Stage) -> Any:
    paper = handed_in(stage, cast.student, OCTAVE)
    statement = latest(paper.observations.get())
    check = statement.checks.latest("pk")
    rule(statement=statement, by=cast.tutor, flag=check.flag, reply="Well seen.")
    release(paper=paper, by=cast.tutor)
    return reverse("paper", args=[stage.assignment.public_id])


def test_the_lines_of_a_flag_are_heard_alone_and_one_asks_back_in_place(
    given_back: str, cast: Cast, stage: Stage, browser: Any, drain_jobs: Callable[[], int]
) -> None:
    with inside.window(browser, cast.student, drain_jobs) as page:
        silence(page)
        page.goto(inside.HOST + given_back)
        page.locator("#score .score-page svg").first.wait_for()
        answer = page.get_by_role("article")
        answer.get_by_role("button", name="Hear them alone").click()
        expect(page.get_by_role("button", name="Pause")).to_be_visible()
        both = page.evaluate(CHANNELS)
        assert len(both) == 2, "flute and first violins"
        page.get_by_role("button", name="Pause").click()
        answer.get_by_role("button", name="Only Flauto").click()
        expect(page.get_by_role("button", name="Pause")).to_be_visible()
        assert page.evaluate(CHANNELS) == both[:1]

        address = page.url
        answer.get_by_role("link", name="Ask back").click()
        field = answer.get_by_label("Answer")
        expect(field).to_be_focused()
        no_barrier(page)
        field.fill("Is the octave above or below?")
        answer.get_by_role("button", name="Send").click()
        expect(answer.locator(".thread")).to_contain_text("Is the octave above or below?")
        expect(answer.get_by_label("Answer")).to_have_value("")
        assert page.url == address
        assert Message.objects.get().text == "Is the octave above or below?"


def test_without_script_the_thread_is_a_page(
    given_back: str, cast: Cast, browser: Any, drain_jobs: Callable[[], int]
) -> None:
    with inside.window(browser, cast.student, drain_jobs, java_script_enabled=False) as page:
        page.goto(inside.HOST + given_back)
        page.get_by_role("link", name="Ask back").click()
        page.get_by_label("Answer").fill("Where?")
        page.get_by_role("button", name="Send").click()
        expect(page.locator(".thread")).to_contain_text("Where?")
