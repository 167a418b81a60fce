"""Stages of an assignment: their order, what stays, what is held back, answers given twice."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from analysis.engine.sound import SOUND_VERSION
from analysis.models import Engraving, Sound
from analysis.storage import put
from courses import drafts
from courses.locks import locks_on
from courses.models import AssignmentVersion, Extension, Prompt, Step
from courses.services import assignments
from courses.stages import ANY_ONE, Kind, new_stage, way_of
from submissions.models import Observation, Paper
from submissions.services.papers import release, wanting
from submissions.services.rulings import rule
from submissions.services.stages import CLOSED, FIRST_FIXED, FIXED, NO_SUCH_PROMPT
from tests.cast import (
    FREE,
    OCTAVE,
    UNISON,
    Cast,
    Stage,
    draft_for,
    enrol,
    latest,
    make_course,
    make_stage,
    paper_of,
    publish,
    wall,
)
from tests.rewrite import rewrite

pytestmark = pytest.mark.django_db

FLUTE = "P1"
LAYOUT = {"kind": "layout", "bars": "1", "words": "", "says": {"absent": "trumpets"}}


def prompt(title: str, **more: Any) -> dict[str, Any]:
    return drafts.new_prompt(title=title, first_bar=0, last_bar=3, **more)


def staged(cast: Cast, *stages: dict[str, Any], prompts: Any = (), **more: Any) -> Stage:
    """A stage whose assignment has these stages, and a prompt in each."""
    asked = list(prompts) or [prompt(f"In {s['kind']}", stage=s["kind"]) for s in stages]
    made = make_stage(cast)
    assignment = made.assignment
    draft = draft_for(made.version, stages=list(stages), **more)
    draft["prompts"] = asked
    assignments.save_draft(
        assignment=assignment, by=cast.tutor, title="Staged", draft=draft,
        if_match=assignment.revision,
    )  # fmt: skip
    assignments.publish(assignment=assignment, by=cast.tutor)
    assignment.refresh_from_db()
    return made


USUAL = (
    new_stage("survey", sound_locked=True),
    new_stage("first-hearing", line=FLUTE),
    new_stage("close-reading", layers=["melody", "doublings"]),
    new_stage("second-look", text="What did nobody say?"),
)


def key_of(stage: Stage, title: str) -> str:
    assert stage.assignment.current is not None
    return str(stage.assignment.current.prompts.get(title=title).key)


def client_of(user: Any) -> Client:
    client = Client()
    client.force_login(user)
    return client


class Desk:
    """One student at the paper, through the addresses the page uses."""

    def __init__(self, stage: Stage, user: Any) -> None:
        self.stage, self.user, self.client = stage, user, client_of(user)
        self.paper: Paper = paper_of(user, stage.assignment)

    def page(self) -> str:
        url = reverse("paper", args=[self.stage.assignment.public_id])
        return str(self.client.get(url).content.decode())

    def say(self, key: str, prompt_key: str | None, typed: Any = FREE, number: int = 0) -> Any:
        heads = {"If-Match": str(number)} if number else {"If-None-Match": "*"}
        url = reverse("api-statement", args=[self.paper.public_id, key])
        data = json.dumps({**typed, "prompt": prompt_key})
        return self.client.put(url, data, content_type="application/json", headers=heads)

    def hand_in_stage(self, stage: str, sure: str = "yes") -> Any:
        url = reverse("api-stage", args=[self.paper.public_id, stage])
        return self.client.post(f"{url}?sure={sure}")

    def first_answer(self, prompt_key: str) -> Any:
        return self.client.post(
            reverse("api-first-answer", args=[self.paper.public_id, prompt_key])
        )

    def statuses(self) -> dict[str, int]:
        file = [self.stage.version.public_id]
        urls = {
            "view": reverse("score-view", args=file),
            "midi": reverse("score-midi", args=file),
            "timeline": reverse("score-timeline", args=file),
            "described": reverse("described", args=file) + "?first=0&last=3",
            "page": reverse("score-page", args=[*file, "k" * 64, 1]),
            "flute": reverse("score-page", args=[*file, "f" * 64, 1]),
        }
        return {name: self.client.get(url).status_code for name, url in urls.items()}


def engraved_and_sounding(stage: Stage) -> None:
    """Files as the worker leaves them: the whole page, the flute alone, the sound."""
    for key, parts in (("k", []), ("f", [0])):
        for n, view in enumerate(({"view": {"parts": parts}}, {})):
            row = Engraving(copy=stage.run.copy, view_key=key * 64, view=view, page=n, pages=1)
            put(row.file, b"<svg xmlns='http://www.w3.org/2000/svg'/>")
            row.save()
    sound = Sound(run=stage.run, version=SOUND_VERSION)
    put(sound.midi, b"MThd")
    put(sound.timeline, b"{}")
    sound.save()


def open_now(statuses: dict[str, int]) -> set[str]:
    assert set(statuses.values()) <= {200, 202, 404}, statuses
    return {name for name, status in statuses.items() if status != 404}


ALL = {"view", "midi", "timeline", "described", "page", "flute"}
SOUND = {"midi", "timeline"}


# --- without stages ---------------------------------------------------------------


def test_an_assignment_without_stages_is_as_it_was(cast: Cast, stage: Stage) -> None:
    engraved_and_sounding(stage)
    desk = Desk(stage, cast.student)
    page = desk.page()
    assert 'id="stages"' not in page
    assert "data-first-answer" not in page
    assert open_now(desk.statuses()) == ALL
    said = desk.say("a", stage.prompt_key, OCTAVE)
    assert (said.status_code, said.json()["round"], said.json()["fixed"]) == (200, 1, False)
    assert desk.hand_in_stage("survey").status_code == 409
    assert desk.first_answer(stage.prompt_key).status_code == 409
    assert not Step.objects.exists()


# --- the order ------------------------------------------------------------------------


def test_the_whole_way_stage_by_stage(cast: Cast) -> None:
    stage = staged(cast, *USUAL)
    engraved_and_sounding(stage)
    desk = Desk(stage, cast.student)
    survey, hearing = key_of(stage, "In survey"), key_of(stage, "In first-hearing")

    assert open_now(desk.statuses()) == ALL - SOUND
    page = desk.page()
    assert "In survey" in page
    assert "In first-hearing" not in page
    assert 'id="player"' not in page
    assert desk.say("s1", survey, LAYOUT).status_code == 200
    assert desk.say("h1", hearing).json()["detail"] == NO_SUCH_PROMPT
    assert desk.hand_in_stage("first-hearing").status_code == 409
    assert desk.hand_in_stage("survey").json() == {"at": "first-hearing"}

    # The survey's answers stay; the sound is open; of the page one line.
    assert desk.say("s1", survey, {**LAYOUT, "words": "Or not."}, 1).json()["detail"] == FIXED
    assert desk.say("s2", survey, LAYOUT).json()["detail"] == FIXED
    gone = desk.client.delete(reverse("api-statement", args=[desk.paper.public_id, "s1"]))
    assert (gone.status_code, gone.json()["detail"]) == (409, FIXED)
    assert open_now(desk.statuses()) == {"view", "flute", *SOUND}
    assert 'id="player"' in desk.page()
    assert 'id="describe"' not in desk.page()
    assert desk.say("h1", hearing).status_code == 200
    assert desk.hand_in_stage("first-hearing").json() == {"at": "close-reading"}

    assert open_now(desk.statuses()) == ALL
    assert way_of(stage.assignment.current, cast.student).layers == {"melody", "doublings"}
    desk.say("c1", key_of(stage, "In close-reading"), OCTAVE)
    assert desk.hand_in_stage("close-reading").json() == {"at": "second-look"}

    page = desk.page()
    assert "What did nobody say?" in page
    assert "Parts you have not named" in page
    unspoken = page[page.index("Parts you have not named") :].split("</dl>")[0]
    assert "Flauto" not in unspoken
    assert "Violino I" not in unspoken.replace("Violino II", "")
    assert "Contrabbasso" in unspoken
    desk.say("l1", key_of(stage, "In second-look"))
    done = desk.client.post(reverse("api-hand-in", args=[desk.paper.public_id]) + "?sure=no")
    assert done.status_code == 200, done.json()
    assert desk.paper.observations.filter(state=Observation.State.HANDED_IN).count() == 4


def test_progress_is_each_student_s_own(cast: Cast) -> None:
    stage = staged(cast, *USUAL)
    one, other = Desk(stage, cast.student), Desk(stage, cast.fellow)
    assert one.hand_in_stage("survey").status_code == 200
    assert way_of(stage.assignment.current, cast.student).current["kind"] == "first-hearing"
    assert way_of(stage.assignment.current, cast.fellow).current["kind"] == "survey"
    assert not locks_on(cast.student, stage.score, timezone.now()).sound
    assert locks_on(cast.fellow, stage.score, timezone.now()).sound
    assert other.hand_in_stage("survey").status_code == 200


def test_a_second_press_changes_nothing(cast: Cast) -> None:
    desk = Desk(staged(cast, *USUAL), cast.student)
    assert desk.hand_in_stage("survey").status_code == 200
    assert desk.hand_in_stage("survey").json() == {"at": "first-hearing"}
    assert Step.objects.count() == 1


def test_the_tutor_s_order_counts(cast: Cast) -> None:
    stage = staged(cast, new_stage("close-reading"), new_stage("survey", sound_locked=True))
    desk = Desk(stage, cast.student)
    assert desk.hand_in_stage("survey").status_code == 409
    assert locks_on(cast.student, stage.score, timezone.now()).sound  # before its stage, too
    assert desk.hand_in_stage("close-reading").json() == {"at": "survey"}


def test_what_a_stage_asks_for_is_said_once(cast: Cast) -> None:
    desk = Desk(staged(cast, *USUAL), cast.student)
    asked = desk.hand_in_stage("survey", sure="no")
    assert (asked.status_code, asked.json()["asked"]) == (409, True)
    assert "In survey" in asked.json()["detail"]
    assert desk.hand_in_stage("survey").status_code == 200


def test_what_is_not_complete_is_mended_before_its_stage_goes(cast: Cast) -> None:
    stage = staged(cast, *USUAL)
    desk = Desk(stage, cast.student)
    said = {"kind": "layout", "bars": "1", "words": "Somebody is missing.", "says": {}}
    assert desk.say("s1", key_of(stage, "In survey"), said).json()["problems"]
    refused = desk.hand_in_stage("survey")
    assert refused.status_code == 409
    assert "not complete" in refused.json()["detail"]
    assert not Step.objects.exists()


def test_handing_in_early_tells_of_the_stages_to_come_and_no_title_of_theirs(cast: Cast) -> None:
    stage = staged(cast, *USUAL)
    desk = Desk(stage, cast.student)
    desk.say("s1", key_of(stage, "In survey"), LAYOUT)
    url = reverse("api-hand-in", args=[desk.paper.public_id])
    said = desk.client.post(f"{url}?sure=no")
    assert said.status_code == 409
    assert "3 stages are still before you" in said.json()["detail"]
    assert "In close-reading" not in said.json()["detail"]
    assert desk.client.post(url).status_code == 200
    assert locks_on(cast.student, stage.score, timezone.now()).sound is True


def test_the_last_stage_ends_with_the_paper(cast: Cast) -> None:
    stage = staged(cast, new_stage("survey", sound_locked=True))
    desk = Desk(stage, cast.student)
    assert 'id="stage-on"' not in desk.page()
    desk.say("s1", key_of(stage, "In survey"), LAYOUT)
    assert locks_on(cast.student, stage.score, timezone.now()).sound
    desk.client.post(reverse("api-hand-in", args=[desk.paper.public_id]))
    assert not locks_on(cast.student, stage.score, timezone.now()).any


def test_the_board_says_at_which_stage_each_student_is(cast: Cast) -> None:
    stage = staged(cast, *USUAL)
    Desk(stage, cast.student).hand_in_stage("survey")
    paper_of(cast.fellow, stage.assignment)
    board = client_of(cast.tutor).get(reverse("board", args=[stage.assignment.public_id]))
    rows = {
        name: board.content.decode().split(f'<th scope="row">{name}')[1].split("</tr>")[0]
        for name in ("Stella Student", "Felix Fellow")
    }
    assert "first hearing" in rows["Stella Student"]
    assert "survey the page" in rows["Felix Fellow"]


# --- what opens again -----------------------------------------------------------------


def test_locks_end_with_closing_and_go_on_with_more_time(cast: Cast) -> None:
    stage = staged(cast, *USUAL)
    now = timezone.now()
    assert locks_on(cast.student, stage.score, now).sound
    rewrite(AssignmentVersion.objects.all(), closes_at=now - timedelta(hours=1))
    assert not locks_on(cast.student, stage.score, now).any
    Extension.objects.create(
        assignment=stage.assignment, student=cast.student, closes_at=now + timedelta(days=1)
    )
    assert locks_on(cast.student, stage.score, now).sound
    assert not locks_on(cast.fellow, stage.score, now).any


def test_nothing_is_locked_before_it_opens_or_once_withdrawn(cast: Cast) -> None:
    stage = staged(cast, *USUAL)
    now = timezone.now()
    rewrite(AssignmentVersion.objects.all(), opens_at=now + timedelta(hours=1))
    assert not locks_on(cast.student, stage.score, now).any
    rewrite(AssignmentVersion.objects.all(), opens_at=now - timedelta(hours=1))
    assert locks_on(cast.student, stage.score, now).any
    type(stage.assignment).objects.update(state="withdrawn")
    assert not locks_on(cast.student, stage.score, now).any


def test_a_paper_given_back_is_open(cast: Cast) -> None:
    recall = prompt("Heard?", asking="recall")
    stage = staged(cast, *USUAL, prompts=[prompt("Page", stage="survey"), recall])
    desk = Desk(stage, cast.student)
    desk.say("s1", key_of(stage, "Page"))
    desk.client.post(reverse("api-hand-in", args=[desk.paper.public_id]))
    rule(statement=latest(desk.paper.observations.get()), by=cast.tutor, flag="agrees")
    desk.paper.refresh_from_db()
    release(paper=desk.paper, by=cast.tutor)
    assert not locks_on(cast.student, stage.score, timezone.now()).any
    assert locks_on(cast.fellow, stage.score, timezone.now()).any
    assert [row["prompt"].title for row in wanting(desk.paper, stage.assignment.current)] == [
        "Page", "Heard?"
    ]  # fmt: skip


def test_the_score_is_locked_in_every_course_of_the_student(cast: Cast) -> None:
    stage = staged(cast, *USUAL)
    engraved_and_sounding(stage)
    second = make_course(cast.tutor, title="Another course")
    second.scores.add(stage.score)
    enrol(second, cast.student)
    enrol(second, cast.stranger)
    page = client_of(cast.student).get(
        reverse("read-score", args=[second.public_id, stage.score.public_id])
    )
    assert 'id="player"' not in page.content.decode()
    assert "Go to “Staged”" in page.content.decode()
    midi = reverse("score-midi", args=[stage.version.public_id])
    assert client_of(cast.student).get(midi).status_code == 404
    assert client_of(cast.stranger).get(midi).status_code == 200  # not asked by the assignment


@pytest.mark.parametrize("who", ["tutor", "assistant"])
def test_nothing_is_locked_for_those_who_teach(cast: Cast, who: str) -> None:
    recall = prompt("Heard?", asking="recall")
    stage = staged(cast, *USUAL, prompts=[recall])
    assert not locks_on(getattr(cast, who), stage.score, timezone.now()).any


# --- one line -----------------------------------------------------------------------------


def test_the_line_is_all_that_can_be_asked_for(cast: Cast, drain_jobs: Any) -> None:
    stage = staged(cast, USUAL[1], USUAL[2])
    desk = Desk(stage, cast.student)
    url = reverse("score-view", args=[stage.version.public_id])
    keys = {desk.client.get(url + query).json()["key"] for query in ("", "?parts=P3", "?parts=P1")}
    assert len(keys) == 1
    drain_jobs()
    key = keys.pop()
    assert Engraving.objects.get(view_key=key, page=0).view["view"]["parts"] == [0]
    page = reverse("score-page", args=[stage.version.public_id, key, 1])
    assert desk.client.get(page).status_code == 200
    assert "data-statements-url" in desk.page()


def test_a_line_of_one_s_own_choice_is_one_at_a_time(cast: Cast, drain_jobs: Any) -> None:
    stage = staged(cast, new_stage("first-hearing", line=ANY_ONE), USUAL[2])
    engraved_and_sounding(stage)
    desk = Desk(stage, cast.student)
    assert open_now(desk.statuses()) == {"view", "flute", *SOUND}
    assert "Choose your line under" in desk.page()
    url = reverse("score-view", args=[stage.version.public_id])
    shown = {}
    for query in ("", "?parts=P3", "?parts=P3,P1", "?parts=nonsense"):
        key = desk.client.get(url + query).json()["key"]
        drain_jobs()
        book = Engraving.objects.get(view_key=key, page=0)
        shown[query] = book.view["view"]["parts"]
        page = reverse("score-page", args=[stage.version.public_id, key, 1])
        assert desk.client.get(page).status_code == 200
    assert shown == {"": [0], "?parts=P3": [2], "?parts=P3,P1": [2], "?parts=nonsense": [0]}


def test_a_line_that_another_file_does_not_have_closes_its_page(cast: Cast) -> None:
    stage = staged(cast, USUAL[1], USUAL[2])
    rewrite(AssignmentVersion.objects.all(), stages=[new_stage("first-hearing", line="P99")])
    engraved_and_sounding(stage)
    assert open_now(Desk(stage, cast.student).statuses()) == SOUND


# --- from memory, and answering twice -------------------------------------------------


def test_from_memory_page_and_sound_are_closed_until_the_first_answer(cast: Cast) -> None:
    recall = prompt("What did you hear?", asking="recall", again_text="Now compare.")
    stage = staged(cast, prompts=[recall])
    engraved_and_sounding(stage)
    desk = Desk(stage, cast.student)
    key = key_of(stage, "What did you hear?")
    assert open_now(desk.statuses()) == set()
    page = desk.page()
    assert "The page is closed." in page
    assert "Violino" not in page
    assert "Now compare." not in page
    own = desk.client.get(
        reverse("read-score", args=[stage.course.public_id, stage.score.public_id])
    ).content.decode()
    assert "The page is closed." in own
    assert "Violino" not in own

    assert desk.say("k1", key, OCTAVE).json()["detail"] == CLOSED
    asked = desk.client.post(
        reverse("api-proposal", args=[desk.paper.public_id]),
        json.dumps({"sentence": "the flute rests"}), content_type="application/json",
    )  # fmt: skip
    assert (asked.status_code, asked.json()["detail"]) == (409, CLOSED)
    assert desk.first_answer(key).status_code == 409  # nothing said yet
    assert desk.say("k1", key, FREE).status_code == 200
    assert desk.first_answer(key).status_code == 200

    assert open_now(desk.statuses()) == ALL
    page = desk.page()
    assert "Now compare." in page
    assert "Violino" in page
    assert desk.say("k1", key, FREE, 1).json()["fixed"] is True  # sent once more as it was
    assert desk.say("k1", key, {**FREE, "words": "No."}, 1).json()["detail"] == FIRST_FIXED
    second = desk.say("k2", key, OCTAVE).json()
    assert (second["round"], second["fixed"]) == (2, False)
    first = Observation.objects.get(client_key="k1")
    assert (first.round, first.number) == (1, 1)
    assert desk.say("k2", key, UNISON, 1).status_code == 200  # the second answer may be mended


def test_answer_look_again_answer_again_keeps_both(cast: Cast) -> None:
    stage = staged(cast, prompts=[prompt("Who?", asking="again", wanted_max=1)])
    engraved_and_sounding(stage)
    desk = Desk(stage, cast.student)
    key = key_of(stage, "Who?")
    assert open_now(desk.statuses()) == ALL
    assert desk.say("k1", key, UNISON).status_code == 200
    assert desk.say("k1", key, {**UNISON, "words": "Hm."}, 1).json()["number"] == 2
    assert desk.first_answer(key).status_code == 200
    assert desk.first_answer(key).status_code == 200  # a second press
    assert desk.say("k2", key, OCTAVE).json()["round"] == 2
    # One of each: no more than is wanted.
    done = desk.client.post(reverse("api-hand-in", args=[desk.paper.public_id]) + "?sure=no")
    assert done.status_code == 200, done.json()
    review = client_of(cast.tutor).get(
        reverse("review", args=[stage.assignment.public_id])
        + f"?statement={Observation.objects.get(client_key='k2').public_id}"
    )
    assert "second answer" in review.content.decode()


def test_a_recall_in_a_later_stage_closes_nothing_yet(cast: Cast) -> None:
    recall = prompt("Heard?", asking="recall", stage="second-look")
    stage = staged(cast, *USUAL[2:], prompts=[prompt("Read", stage="close-reading"), recall])
    desk = Desk(stage, cast.student)
    assert not locks_on(cast.student, stage.score, timezone.now()).page
    desk.hand_in_stage("close-reading")
    locks = locks_on(cast.student, stage.score, timezone.now())
    assert (locks.page, locks.sound) == (True, True)


# --- publishing ---------------------------------------------------------------------------


def test_what_cannot_be_published(cast: Cast, stage: Stage) -> None:
    course = stage.course
    twice = [new_stage("survey"), new_stage("survey")]
    for stages, said in (
        (twice, "Each stage stands once"),
        ([new_stage("nap")], "Each stage stands once"),
        ([new_stage("first-hearing", line="P77")], "no part of this score"),
        ([new_stage("close-reading", layers=["feelings"])], "no such layer"),
    ):
        plan = assignments.create_assignment(course=course, by=cast.tutor, title="T")
        plan.draft = draft_for(stage.version, stages=stages)
        assert any(said in sentence for sentence in assignments.hindrances(plan)), said
    plan.draft = draft_for(stage.version, prompt={"stage": "survey"})
    assert any("does not have" in sentence for sentence in assignments.hindrances(plan))


def test_a_draft_of_before_stages_can_be_published(cast: Cast, stage: Stage) -> None:
    draft = draft_for(stage.version)
    del draft["stages"]
    for name in ("stage", "asking", "again_text"):
        del draft["prompts"][0][name]
    made = publish(stage.course, stage.version, **draft)
    assert made.current is not None
    assert made.current.stages == []
    assert made.current.prompts.get().asking == Prompt.Asking.ONCE


def test_the_form_writes_stages_and_shows_them_again(cast: Cast, stage: Stage) -> None:
    plan = assignments.create_assignment(course=stage.course, by=cast.tutor, title="T")
    client, url = client_of(cast.tutor), reverse("assignment", args=[plan.public_id])
    base = {"title": "T", "score_version": str(stage.version.public_id),
            "closes_wall": wall(5).replace(" ", "T"), "zone": "UTC"}  # fmt: skip
    client.post(url, {**base, "revision": "1", "usual-stages": "1"})
    plan.refresh_from_db()
    assert [s["kind"] for s in plan.draft["stages"]] == Kind.values
    first = plan.draft["prompts"][0]
    assert (first["stage"], first["kinds"], first["first_bar"]) == ("survey", ["layout"], 0)
    assert assignments.hindrances(plan) == []
    page = client.get(url).content.decode()
    assert 'name="stage-survey-sound" checked' in page

    key = first["key"]
    client.post(url, {
        **base, "revision": "2", "prompt": key, f"{key}-title": "First", f"{key}-bars": "1-2",
        f"{key}-stage": "first-hearing", f"{key}-asking": "again", f"{key}-again_text": "Look.",
        "stage-second-look-place": "1", "stage-first-hearing-place": "2",
        "stage-first-hearing-line": FLUTE, "stage-second-look-layers": ["keys", "feelings"],
        "stage-second-look-text": "Once more.", "stage-survey-sound": "on",
    })  # fmt: skip
    plan.refresh_from_db()
    assert plan.draft["stages"] == [
        new_stage("second-look", text="Once more.", layers=["keys"]),
        new_stage("first-hearing", line=FLUTE),
    ]
    kept = plan.draft["prompts"][0]
    assert (kept["stage"], kept["asking"], kept["again_text"]) == (
        "first-hearing",
        "again",
        "Look.",
    )
    page = client.get(url).content.decode()
    assert "Once more." in page
    assert f'<option value="{FLUTE}" selected>' in page
