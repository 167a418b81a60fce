"""Bad luck while one reads and writes: a sentence, nothing typed is lost, a way on.

The server away, two windows and a stage handed in elsewhere: `test_drafts`.
"""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from analysis.models import Run
from courses.models import Enrolment
from submissions.models import Observation
from tests.browser import inside
from tests.browser.story import expect
from tests.browser.test_drafts import AWAY, address, said, write
from tests.cast import Cast, Stage

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db]

BACK = "() => { window.fetch = window.reached; }"
GONE = f"() => {{ window.reached ??= window.fetch; ({AWAY})(); }}"
#: Each answer to a change is on its way for two seconds.
SLOW = """() => {
  const quick = window.fetch;
  window.fetch = async (where, how) => {
    const answer = await quick(where, how);
    if (how?.method === "PUT") await new Promise((done) => { setTimeout(done, 2000); });
    return answer;
  };
}"""


def state_doubling(page: Any) -> None:
    """A statement made of choices alone, without a word of one's own."""
    page.get_by_label("Kind", exact=True).select_option(label="Doubling")
    page.locator("#s-bars").fill("1-4")
    page.get_by_label("Parts", exact=True).fill("Flauto")
    page.locator("[name=k-with_]").fill("Violino I")


def test_the_server_comes_back_and_the_page_sees_it_by_itself(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Any
) -> None:
    """Also a statement without words; also over a load of the page."""
    with inside.window(browser, cast.student, drain_jobs) as page:
        page.goto(address(stage))
        expect(page.get_by_label("Parts", exact=True)).to_be_visible()
        page.evaluate(GONE)
        state_doubling(page)
        kept = page.locator("#kept")
        expect(kept).to_contain_text("No connection: kept in this browser")
        assert not Observation.objects.exists()
        page.evaluate(BACK)
        expect(kept).to_contain_text("kept ", timeout=30_000)
        expect(kept).not_to_contain_text("No connection")
        assert Observation.objects.get().number == 1

        page.get_by_role("button", name="Empty form").click()
        page.evaluate(AWAY)
        state_doubling(page)
        page.locator("[name=k-with_]").fill("Violoncello")
        expect(kept).to_contain_text("No connection")
        page.reload()
        expect(page.locator("#statements li")).to_have_count(2)
        expect(page.locator("#statements")).to_contain_text("Violoncello")
    assert Observation.objects.count() == 2


def test_signed_out_meanwhile(cast: Cast, stage: Stage, browser: Any, drain_jobs: Any) -> None:
    with inside.window(browser, cast.student, drain_jobs, refusals=True) as page:
        page.goto(address(stage))
        expect(page.locator("#score svg").first).to_be_visible()
        write(page, "Before.")
        expect(page.locator("#kept")).to_contain_text("kept ")
        page.signed_in.logout()
        page.get_by_label("In your words").fill("Before, and after.")
        expect(page.locator("#kept")).to_contain_text("You are signed out; what you typed is kept")
        way = page.get_by_role("link", name="Sign in again, and it is sent.")
        back = reverse("paper", args=[stage.assignment.public_id])
        expect(way).to_have_attribute("href", f"{reverse('account_login')}?next={back}")
        assert said() == ["Before."]

        # No part of the page takes the sign-in page for an answer.
        page.get_by_label("Kind", exact=True).select_option(label="Key")
        expect(page.locator("#kind-fields")).to_be_empty()
        page.get_by_role("heading", name="The bars in words").click()
        page.get_by_role("button", name="Describe").click()
        page.locator("#describe-bars").fill("1-4")
        page.get_by_role("button", name="Describe").click()
        expect(page.locator("#described")).to_contain_text("could not be fetched")
        page.get_by_role("heading", name="My notebook").click()
        page.get_by_label("Note, for yourself alone").fill("Ask about the horn.")
        page.get_by_role("button", name="Write it down").click()
        expect(page.locator("#noted")).to_contain_text("You are signed out")
        expect(page.get_by_label("Note, for yourself alone")).to_have_value("Ask about the horn.")
        page.get_by_role("button", name="Hand in", exact=True).click()
        expect(page.locator("#paper-state")).to_contain_text("You are signed out")

        page.signed_in.force_login(cast.student)
        page.goto(address(stage))
        expect(page.locator("#statements")).to_contain_text("Before, and after.")
    assert said() == ["Before, and after."]


def test_taken_away_while_it_is_open(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Any
) -> None:
    with inside.window(browser, cast.student, drain_jobs, refusals=True) as page:
        page.goto(address(stage))
        expect(page.locator("#score svg").first).to_be_visible()
        Enrolment.objects.filter(user=cast.student).update(state="left")
        write(page, "It was here a moment ago.")
        expect(page.locator("#kept")).to_contain_text("not open to you any more")
        expect(page.get_by_label("In your words")).to_have_value("It was here a moment ago.")
        Enrolment.objects.filter(user=cast.student).update(state="active")
        page.reload()
        expect(page.locator("#statements")).to_contain_text("It was here a moment ago.")


def test_a_slow_line_keeps_the_last_words(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Any
) -> None:
    with inside.window(browser, cast.student, drain_jobs) as page:
        page.goto(address(stage))
        expect(page.locator("#score svg").first).to_be_visible()
        page.evaluate(SLOW)
        write(page, "First.")
        expect(page.locator("#kept")).to_contain_text("keeping")
        page.get_by_label("In your words").fill("First, and more.")
        page.get_by_role("button", name="Keep this statement").click()
        expect(page.locator("#kept")).to_contain_text("Kept.")
        expect(page.locator("#statements li")).to_have_count(1)
        expect(page.locator("#statements")).to_contain_text("First, and more.")
    assert said() == ["First, and more."]


def test_a_page_of_the_score_that_does_not_come_can_be_asked_for_again(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Any
) -> None:
    with inside.window(browser, cast.student, drain_jobs) as page:
        page.goto(address(stage))
        expect(page.locator("#score svg").first).to_be_visible()
        page.evaluate(GONE)
        page.get_by_label("Shown", exact=True).select_option(label="the whole movement")
        status = page.locator(".score-status").first
        expect(status).to_contain_text("No connection. The page comes as soon as it is back.")
        page.evaluate(BACK)
        expect(page.locator('.bar-mark[data-bar="7"]')).to_be_visible()
        expect(status).to_be_empty()


@pytest.mark.parametrize("missing", ["AudioContext", "nothing"])
def test_without_sound_one_goes_on_reading(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Any, missing: str
) -> None:
    """The address is no trusted one here, so that the browser gives no thread for sound anyway."""
    with inside.window(browser, cast.student, drain_jobs) as page:
        page.add_init_script(f"delete window.{missing}; delete window.webkitAudioContext;")
        page.goto(address(stage))
        expect(page.locator("#score svg").first).to_be_visible()
        page.get_by_role("button", name="Listen").click()
        told = page.locator("#player [role=status], #player [role=alert]").filter(has_text=" ")
        expect(told.first).to_contain_text("sound", ignore_case=True)
        expect(page.locator("#player")).not_to_contain_text("undefined")
        expect(page.locator("#player")).not_to_contain_text("is not a")
        write(page, "I read it all the same.")
        expect(page.locator("#kept")).to_contain_text("kept ")


def test_read_anew_while_it_is_open(
    cast: Cast, stage: Stage, browser: Any, drain_jobs: Any
) -> None:
    """Another reading of the same file: what is written is kept, and belongs to the new one."""
    with inside.window(browser, cast.student, drain_jobs) as page:
        page.goto(address(stage))
        expect(page.locator("#score svg").first).to_be_visible()
        old = stage.run
        Run.objects.filter(pk=old.pk).update(current=False)
        fresh = Run.objects.get(pk=old.pk)
        fresh.pk, fresh._state.adding, fresh.current = None, True, True
        fresh.public_id = type(old)._meta.get_field("public_id").get_default()
        fresh.settings_hash = "read with other settings"
        fresh.save()
        write(page, "Said after the reading had changed.")
        expect(page.locator("#kept")).to_contain_text("kept ")
        page.get_by_label("Shown", exact=True).select_option(label="the whole movement")
        expect(page.locator('.bar-mark[data-bar="7"]')).to_be_visible()
    assert said() == ["Said after the reading had changed."]
