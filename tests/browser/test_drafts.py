"""Bad luck while writing: the server away, two tabs on one statement. Nothing typed is lost."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.urls import reverse

from courses.models import Prompt, Step
from submissions.models import Observation
from submissions.services.observations import latest
from tests.browser import inside
from tests.browser.story import expect
from tests.browser.test_stages import staged
from tests.cast import FREE, Cast, Stage, paper_of, state
from tests.rewrite import rewrite

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db]

#: The page's scripts reach nobody; a load of the page gets through again.
AWAY = "() => { window.fetch = () => Promise.reject(new TypeError('nobody answers')); }"


def address(stage: Stage) -> str:
    return inside.HOST + reverse("paper", args=[stage.assignment.public_id])


def said() -> list[str]:
    return sorted(latest(o).words for o in Observation.objects.all())


def write(page: Any, words: str) -> None:
    page.get_by_label("Kind", exact=True).select_option(label="Something else, in my words")
    expect(page.locator("#kind-fields")).to_contain_text("Say it in your own words")
    page.locator("#s-bars").fill("2-3")
    page.get_by_label("In your words").fill(words)


def test_what_is_typed_while_the_server_is_away_arrives_once(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Any
) -> None:
    with inside.window(browser, cast.student, drain_jobs) as page:
        page.goto(address(stage))
        expect(page.locator("#score svg").first).to_be_visible()
        write(page, "First thought.")
        expect(page.locator("#kept")).to_contain_text("kept ")
        page.evaluate(AWAY)
        page.get_by_label("In your words").fill("First thought, and what came after it.")
        expect(page.locator("#kept")).to_contain_text("No connection: kept in this browser")
        assert said() == ["First thought."]
        page.get_by_label("In your words").fill("All of it, the last words too.")
        page.reload()  # with the last words not even tried yet
        expect(page.locator("#statements")).to_contain_text("All of it, the last words too.")
        expect(page.locator("#statements li")).to_have_count(1)
        page.reload()
        expect(page.locator("#statements li")).to_have_count(1)
    assert said() == ["All of it, the last words too."]
    assert Observation.objects.get().number == 2


def test_two_tabs_keep_both_texts(cast: Cast, stage: Stage, browser: Any, drain_jobs: Any) -> None:
    state(paper_of(cast.student, stage.assignment), stage.run, FREE, prompt_key=stage.prompt_key)
    with (
        inside.window(browser, cast.student, drain_jobs) as one,
        inside.window(browser, cast.student, drain_jobs, refusals=True) as two,
    ):
        for page in (one, two):
            page.goto(address(stage))
            page.locator("#statements").get_by_role("button", name="Change").click()
            expect(page.get_by_label("In your words")).to_have_value(FREE["words"])
        one.get_by_label("In your words").fill("From the one window.")
        expect(one.locator("#kept")).to_contain_text("kept ")
        two.get_by_label("In your words").fill("From the other window.")
        expect(two.locator("#kept")).to_contain_text("Both are kept")
        expect(two.locator("#statements li")).to_have_count(2)
    assert said() == ["From the one window.", "From the other window."]


def test_what_is_missing_or_too_much_is_said_in_the_page_s_own_words(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Any
) -> None:
    """No bubble of the browser's beside a stale "Kept", and no surprise at hand-in."""
    rewrite(Prompt.objects.all(), wanted_max=1)
    with inside.window(browser, cast.student, drain_jobs) as page:
        page.goto(address(stage))
        expect(page.locator("#score svg").first).to_be_visible()
        keep = page.get_by_role("button", name="Keep this statement")
        write(page, "The first one.")
        keep.click()
        expect(page.locator("#kept")).to_have_text("Kept. You can state the next one.")
        page.get_by_label("Kind", exact=True).select_option(label="Doubling")
        expect(page.locator("#kind-fields [required]").first).to_be_visible()
        keep.click()
        expect(page.locator("#kept")).to_have_text("Say where and what first.")
        write(page, "One too many.")
        keep.click()
        expect(page.locator("#kept")).to_contain_text("Kept. “")
        expect(page.locator("#kept")).to_contain_text("takes one statement, and you have 2")
        expect(page.locator("#statements li")).to_have_count(2)


def test_what_is_typed_when_its_stage_is_handed_in_elsewhere_is_kept_apart(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Any
) -> None:
    path = inside.HOST + staged(cast, stage)
    with inside.window(browser, cast.student, drain_jobs, refusals=True) as page:
        page.goto(path)
        absent = page.get_by_label(re.compile("missing from the page"))
        absent.fill("trumpets")
        page.get_by_label("In your words").fill("Nobody blows.")
        expect(page.locator("#kept")).to_contain_text("kept ")
        for done in ("survey", "first-hearing"):  # in another window
            Step.objects.create(assignment=stage.assignment, student=cast.student, stage=done)
        page.get_by_label("In your words").fill("Nobody blows, and nobody drums.")
        expect(page.locator("#kept")).to_contain_text("stays as it is")
        page.reload()  # now the page, too, knows that the stage is handed in
        expect(page.locator("#statements li")).to_have_count(2)
        expect(page.locator("#statements")).to_contain_text("and nobody drums.")
        page.reload()
        expect(page.locator("#statements li")).to_have_count(2)
    assert said() == ["Nobody blows, and nobody drums.", "Nobody blows."]
    assert {o.prompt_key is None for o in Observation.objects.all()} == {True, False}
