"""What a stage holds back is found nowhere before it is reached: crawl and guesses.

The words of later questions, of second looks and the labels of the page sing; so do page,
sound and description, which have words of this test in them.
"""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from analysis.engine.sound import SOUND_VERSION
from analysis.models import Engraving, Sound
from analysis.storage import put
from courses import drafts
from courses.models import Recording, Step
from courses.services import assignments
from courses.stages import new_stage
from submissions.services import finds
from submissions.services.stages import open_everything
from tests.cast import Cast, Stage, draft_for, note, paper_of, publish
from tests.permissions.test_canaries import Crawl, canary, told_and_heard
from tests.recorded import clicks, followed

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


def planted(cast: Cast, stage: Stage) -> None:
    """Sound locked and a question from memory first; later stages with words of their own."""
    note(stage, canary("note"))
    copy = stage.run.copy
    copy.outline = {**copy.outline, "parts": [
        {**part, "label": canary("label")} for part in copy.outline["parts"]
    ]}  # fmt: skip
    copy.save()
    book = Engraving(copy=copy, view_key="k" * 64, view={}, page=0, pages=1)
    page = Engraving(copy=copy, view_key="k" * 64, view={}, page=1, pages=1)
    for row in (book, page):
        put(row.file, f"<svg>{canary('page')}</svg>".encode())
        row.save()
    sound = Sound(run=stage.run, version=SOUND_VERSION)
    put(sound.midi, canary("midi").encode())
    put(sound.timeline, canary("timeline").encode())
    sound.save()
    followed(stage.version, cast.tutor, name=canary("recording"),
             data=clicks([1], 2) + canary("recorded").encode())  # fmt: skip
    for n, student in enumerate((cast.student, cast.fellow)):  # an own find shows its bars
        finds.send_find(student=student, course=stage.course, version=stage.version,
                        client_key=f"f{n}", first_bar=0, last_bar=1, text="Look.")  # fmt: skip
    draft = draft_for(stage.version, stages=[
        new_stage("survey", sound_locked=True),
        new_stage("close-reading", text=canary("stage-text")),
    ])  # fmt: skip
    asked = {"first_bar": 0, "last_bar": 3}
    draft["prompts"] = [
        drafts.new_prompt(title="Heard?", stage="survey", asking="recall",
                          again_text=canary("again"), **asked),
        drafts.new_prompt(title=canary("title"), text=canary("text"), stage="close-reading",
                          **asked),
    ]  # fmt: skip
    assignments.save_draft(assignment=stage.assignment, by=cast.tutor, title="Staged",
                           draft=draft, if_match=stage.assignment.revision)  # fmt: skip
    assignments.publish(assignment=stage.assignment, by=cast.tutor)
    stage.assignment.refresh_from_db()


def found_by(user: Any, stage: Stage, *, guess: bool = False) -> set[str]:
    crawl = Crawl(user)
    paper = paper_of(user, stage.assignment)
    file = [stage.version.public_id]
    for url in (
        reverse("api-statements", args=[paper.public_id]),
        reverse("score-view", args=file),
        reverse("score-page", args=[*file, "k" * 64, 1]),
        reverse("score-midi", args=file),
        reverse("score-timeline", args=file),
        reverse("described", args=file) + "?first=0&last=3",
        reverse("heard-recordings", args=file),
        reverse("recording-sound", args=[Recording.objects.get().public_id]),
        reverse("recording-timeline", args=[*file, Recording.objects.get().public_id]),
    ):
        crawl.ask(url)
    crawl.follow([reverse("desk"), reverse("finds"), reverse("courses")])
    if guess:  # and press what is not to be pressed yet
        crawl.ask(reverse("api-hand-in", args=[paper.public_id]) + "?sure=no", "post")
        crawl.ask(reverse("api-stage", args=[paper.public_id, "close-reading"]), "post")
        crawl.guess()
        assert crawl.answers > 300
    return set(crawl.found)


def answers_of(user: Any, stage: Stage) -> dict[str, set[int]]:
    """Of the addresses of sound and drill: route -> how they answered."""
    client = Client()
    client.force_login(user)
    found: dict[str, set[int]] = {}
    for url in told_and_heard(stage):
        answer = client.get(url)
        assert b"CANARY" not in answer.content
        found.setdefault(url.split("?")[0].rstrip("/").split("/")[3], set()).add(answer.status_code)
    return found


def test_sound_and_drill_are_held_back_as_the_page_is(cast: Cast, stage: Stage) -> None:
    """From memory: nothing. The page open, its sound locked: the drill. Then all but choices."""
    planted(cast, stage)
    closed = answers_of(cast.student, stage)
    assert len(closed) == 6
    assert set().union(*closed.values()) == {404}
    step = {"assignment": stage.assignment, "student": cast.student}
    first = stage.assignment.current.prompts.get(title="Heard?")
    Step.objects.create(prompt_key=first.key, **step)
    silent = answers_of(cast.student, stage)
    assert silent.pop("drill") == {200}
    assert set().union(*silent.values()) == {404}
    Step.objects.create(stage="survey", **step)
    heard = answers_of(cast.student, stage)
    assert heard == {"heard": {200}, "heard.mid": {404}, "excerpt.wav": {200, 404},
                     "otherwise.mid": {200}, "otherwise": {200}, "drill": {200}}  # fmt: skip


def test_no_canary_of_a_later_stage_sings(cast: Cast, stage: Stage) -> None:
    planted(cast, stage)
    assert found_by(cast.student, stage, guess=True) == set()
    paper = paper_of(cast.student, stage.assignment)
    step = {"assignment": stage.assignment, "student": cast.student}
    first = paper.assignment.current.prompts.get(title="Heard?")
    Step.objects.create(prompt_key=first.key, **step)  # the first answer, from memory
    opened = {"again", "page", "label", "note"}
    assert found_by(cast.student, stage) == opened
    Step.objects.create(stage="survey", **step)
    opened |= {"midi", "timeline", "recording", "recorded", "title", "text", "stage-text"}
    assert found_by(cast.student, stage) == opened
    assert found_by(cast.fellow, stage) == set()
    open_everything(paper_of(cast.fellow, stage.assignment))  # as when it is given back
    assert found_by(cast.fellow, stage) == opened - {"again", "stage-text"}


def test_the_pages_ask_the_same_however_many_stages_and_steps(cast: Cast, stage: Stage) -> None:
    """One staged assignment on a score costs what ten do; without any, one question more."""
    client = Client()
    client.force_login(cast.student)
    url = reverse("score-midi", args=[stage.version.public_id])

    def cost() -> int:
        client.get(url)
        with CaptureQueriesContext(connection) as seen:
            client.get(url)
        return len(seen)

    def more(n: int) -> None:
        made = publish(stage.course, stage.version, f"No. {n}",
                       stages=[new_stage("survey"), new_stage("close-reading")])  # fmt: skip
        Step.objects.create(assignment=made, student=cast.student, stage="survey")

    more(0)
    few = cost()
    for n in range(1, 10):
        more(n)
    assert cost() == few
