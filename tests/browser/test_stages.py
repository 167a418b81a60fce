"""A paper in stages at a browser: survey, from memory, one line, the whole page; a version taken
again; a note kept beside the score. Every request is answered in this process."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.urls import reverse

from courses import drafts
from courses.models import Step
from courses.services import assignments
from courses.stages import new_stage
from submissions.models import NotebookEntry, Observation
from tests.browser import inside
from tests.browser.story import expect
from tests.cast import Cast, Stage, draft_for

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.django_db]


def staged(cast: Cast, stage: Stage) -> str:
    asked = {"first_bar": 0, "last_bar": 3}
    draft = draft_for(stage.version, stages=[
        new_stage("survey", sound_locked=True),
        new_stage("first-hearing", line="P1"),
        new_stage("close-reading"),
    ])  # fmt: skip
    draft["prompts"] = [
        drafts.new_prompt(title="Who is missing?", stage="survey", kinds=["layout"], **asked),
        drafts.new_prompt(title="What did you hear?", stage="first-hearing", asking="recall",
                          again_text="Now look.", **asked),
        drafts.new_prompt(title="Who goes with whom?", stage="close-reading", **asked),
    ]  # fmt: skip
    assignments.save_draft(assignment=stage.assignment, by=cast.tutor, title="In stages",
                           draft=draft, if_match=stage.assignment.revision)  # fmt: skip
    assignments.publish(assignment=stage.assignment, by=cast.tutor)
    return reverse("paper", args=[stage.assignment.public_id])


#: What a player is made of, and what it plays.
OF_SOUND = re.compile(r"/js/player/|soundfont|spessasynth|sound\.mid|timeline|/heard")


def keep(page: Any) -> None:
    page.get_by_role("button", name="Keep this statement").click()
    expect(page.locator("#kept")).to_contain_text("Kept.")


def test_a_paper_in_stages(cast: Cast, stage: Stage, browser: Any, drain_jobs: Any) -> None:
    path = staged(cast, stage)
    with inside.window(browser, cast.student, drain_jobs) as page:
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        page.goto(inside.HOST + path)
        stages = page.get_by_role("region", name="Stages")
        expect(stages.locator("[aria-current=step]")).to_contain_text("survey the page")
        expect(page.locator("#score svg").first).to_be_visible()
        expect(page.get_by_role("button", name="Listen")).to_have_count(0)

        # The survey, changed once; the first wording is taken again from its versions.
        absent = page.get_by_label(re.compile("missing from the page"))
        absent.fill("trumpets")
        keep(page)
        page.get_by_role("button", name="Change").click()
        expect(absent).to_have_value("trumpets")
        absent.fill("timpani")
        keep(page)
        mine = page.locator("#statements")
        mine.get_by_text("2 versions").click()
        mine.get_by_role("button", name="Take this one again").click()
        expect(page.locator("#kept")).to_contain_text("Taken again.")
        expect(absent).to_have_value("trumpets")
        survey = Observation.objects.get()
        assert (survey.number, survey.versions.get(number=3).claim["absent"]) == (3, ["trumpets"])

        # From memory: no page, words alone, begun at the bars asked about.
        page.get_by_role("button", name="Hand in this stage").click()
        expect(page.get_by_text("The page is closed.")).to_be_visible()
        expect(page.locator("#score")).to_have_count(0)
        words = page.get_by_label("In your words")
        expect(words).to_be_focused()
        expect(page.locator("#s-bars")).to_have_value("1-4")
        words.fill("A tune, high up.")
        page.get_by_role("button", name="That is my first answer").click()

        assert not [url for url in asked if OF_SOUND.search(url)], "not even fetched ahead"

        # One line and the sound; what was said stays.
        expect(page.get_by_text("Now look.")).to_be_visible()
        expect(page.locator("#score svg").first).to_be_visible()
        shown = {g.get_attribute("data-part") for g in page.locator("#score g[data-part]").all()}
        assert shown == {"P1"}
        expect(page.get_by_role("button", name="Listen")).to_be_visible()
        expect(page.locator("#statements")).to_contain_text("stays as it is")
        expect(page.locator("#statements").get_by_role("button", name="Change")).to_have_count(0)

        # Close reading: the whole page, and a note kept beside it.
        page.get_by_role("button", name="Hand in this stage").click()
        expect(stages.locator("[aria-current=step]")).to_contain_text("close reading")
        expect(page.locator("#score g[data-part=P5]").first).to_be_visible()
        page.get_by_role("heading", name="My notebook").click()
        page.get_by_label("Note, for yourself alone").fill("Ask about the horn.")
        page.get_by_role("button", name="Write it down").click()
        expect(page.locator("#noted")).to_contain_text("Written down.")
        expect(page.get_by_label("Note, for yourself alone")).to_have_value("")
    assert NotebookEntry.objects.get().text == "Ask about the horn."
    assert list(Step.objects.values_list("stage", flat=True)) == ["survey", "", "first-hearing"]
