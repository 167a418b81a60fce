"""Pages ask the database the same number of questions with 1 student and with 30."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from courses.models import Course, Prompt, User
from courses.services import joining
from submissions.models import Check, Observation, Paper
from submissions.services import finds
from submissions.services.papers import hand_in, release
from submissions.services.rulings import rule
from tests.cast import (
    FREE,
    OCTAVE,
    UNISON,
    Cast,
    Stage,
    enrol,
    handed_in,
    latest,
    make_course,
    note,
    paper_of,
    person,
    publish,
    ready_score,
    state,
)
from tests.rewrite import rewrite

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
_number = itertools.count()


def queries(user: User, url: str) -> list[str]:
    """The statements of the second visit: the first may open a paper or mark things read."""
    client = Client()
    client.force_login(user)
    assert client.get(url).status_code == 200
    with CaptureQueriesContext(
        connection,
    ) as seen:
        assert client.get(url).status_code == 200
    return [q["sql"] for q in seen.captured_queries]


def checked(paper: Paper, stage: Stage) -> None:
    """A check for each statement, without the worker: only the rows matter here."""
    for observation in paper.observations.all():
        Check.objects.create(
            observation_version=latest(observation), run=stage.run, checker_version="t",
            settings_hash="t", overrule_revision="", flag="agrees", answer={}, sentences={},
        )  # fmt: skip


def another_student(cast: Cast, stage: Stage) -> None:
    """With a paper: two statements, one ruled, a thread on it, a find of their own."""
    n = next(_number)
    user = person(f"Pupil {n}")
    enrol(stage.course, user)
    paper = paper_of(user, stage.assignment)
    for key, typed in (("a", OCTAVE), ("b", FREE)):
        state(paper, stage.run, typed, key=key, prompt_key=stage.prompt_key)
    hand_in(paper=paper, student=user)
    checked(paper, stage)
    first = paper.observations.order_by("pk")[0]
    rule(statement=latest(first), by=cast.tutor, reply="Yes.")
    finds.answer(author=user, client_key=f"q{n}", text="Why?", observation=first)
    finds.send_find(student=user, course=stage.course, version=stage.version, client_key=f"f{n}",
                    first_bar=6, last_bar=7, text="Here!", shown_to_group=True)  # fmt: skip
    asking = person(f"Asking {n}")
    invitation, _word = joining.invite(course=stage.course, by=cast.tutor)
    joining.ask_in(user=asking, invitation=invitation, age_band="adult", agreed=True)


def same_with_more(user: User, url: str, more: Callable[[], None], times: int) -> None:
    more()
    few = queries(user, url)
    for _n in range(times):
        more()
    many = queries(user, url)
    assert len(many) == len(few), _more_often(few, many)


def _more_often(few: list[str], many: list[str]) -> str:
    def shape(sql: str) -> str:
        return sql[sql.find(" FROM ") :][:150]

    counts: dict[str, list[int]] = {}
    for side, statements in enumerate((few, many)):
        for sql in statements:
            counts.setdefault(shape(sql), [0, 0])[side] += 1
    return "\n".join(f"{a} -> {b}: {sql}" for sql, (a, b) in counts.items() if a != b)


def words_of(stage: Stage) -> str:
    return reverse("described", args=[stage.version.public_id]) + "?first=0&last=3"


TUTOR_PAGES: dict[str, Callable[[Stage], str]] = {
    "desk": lambda s: reverse("desk"),
    "board": lambda s: reverse("board", args=[s.assignment.public_id]),
    "review": lambda s: reverse("review", args=[s.assignment.public_id]),
    "course": lambda s: reverse("course", args=[s.course.public_id]),
    "courses": lambda s: reverse("courses"),
    "trust": lambda s: reverse("trust"),
    "trust, agreed": lambda s: f"{reverse('trust')}?course={s.course.public_id}&ruled=confirmed",
    "finds": lambda s: reverse("finds"),
    "score": lambda s: reverse("score", args=[s.score.public_id]),
    "bars in words": lambda s: words_of(s),
    "assignment": lambda s: reverse("assignment", args=[s.assignment.public_id]),
}


@pytest.mark.parametrize("page", TUTOR_PAGES)
def test_the_tutor_s_pages_with_1_and_30_students(page: str, cast: Cast, stage: Stage) -> None:
    same_with_more(
        cast.tutor, TUTOR_PAGES[page](stage), lambda: another_student(cast, stage), times=29
    )


STUDENT_PAGES: dict[str, Callable[[Stage], str]] = {
    "bars in words": lambda s: words_of(s),
    "desk": lambda s: reverse("desk"),
    "finds": lambda s: reverse("finds"),
    "course": lambda s: reverse("course", args=[s.course.public_id]),
    "paper": lambda s: reverse("paper", args=[s.assignment.public_id]),
    "own reading": lambda s: reverse("read-score", args=[s.course.public_id, s.score.public_id]),
}


@pytest.mark.parametrize("page", STUDENT_PAGES)
def test_a_student_s_pages_with_1_and_30_fellows(page: str, cast: Cast, stage: Stage) -> None:
    same_with_more(
        cast.student, STUDENT_PAGES[page](stage), lambda: another_student(cast, stage), times=29
    )


def test_the_library_with_1_and_30_scores(cast: Cast) -> None:
    same_with_more(
        cast.tutor, reverse("library"),
        lambda: ready_score(cast.tutor, f"No. {next(_number)}") and None, times=29,
    )  # fmt: skip


def test_the_desk_and_course_with_1_and_12_assignments(cast: Cast, stage: Stage) -> None:
    def more() -> None:
        made = publish(stage.course, stage.version, f"No. {next(_number)}")
        paper = paper_of(cast.student, made)
        state(paper, stage.run)
        hand_in(paper=paper, student=cast.student)

    more()
    for user in (cast.tutor, cast.student):
        for url in (reverse("desk"), reverse("course", args=[stage.course.public_id])):
            same_with_more(user, url, more, times=6)


def test_the_paper_with_1_and_10_statements_and_answers(cast: Cast, stage: Stage) -> None:
    paper = handed_in(stage, cast.student)
    rule(statement=latest(paper.observations.get()), by=cast.tutor)
    release(paper=paper, by=cast.tutor)
    page = reverse("paper", args=[stage.assignment.public_id])
    assert Observation.objects.count() == 1

    def more() -> None:
        Paper.objects.filter(pk=paper.pk).update(state=Paper.State.HANDED_IN)
        observation = state(paper, stage.run, UNISON, key=f"k{next(_number)}")
        Observation.objects.filter(pk=observation.pk).update(state="handed-in")
        rule(statement=latest(observation), by=cast.tutor, flag="partly", reply="Nearly.")
        n = next(_number)
        finds.answer(author=cast.student, client_key=f"q{n}", text="?", observation=observation)
        Paper.objects.filter(pk=paper.pk).update(state=Paper.State.RELEASED)

    same_with_more(cast.student, page, more, times=9)


def test_the_statements_with_1_and_10_drafts(cast: Cast, stage: Stage) -> None:
    paper = paper_of(cast.student, stage.assignment)
    same_with_more(
        cast.student,
        reverse("api-statements", args=[paper.public_id]),
        lambda: state(paper, stage.run, key=f"k{next(_number)}") and None,
        times=9,
    )


def test_the_reading_page_with_1_and_20_notes(cast: Cast, stage: Stage) -> None:
    def more() -> None:
        note(stage, first_bar=5, last_bar=6)
        note(stage, first_bar=5, last_bar=6, after_release=True)

    for url in (STUDENT_PAGES["own reading"](stage), STUDENT_PAGES["paper"](stage)):
        same_with_more(cast.student, url, more, times=19)
    same_with_more(cast.tutor, TUTOR_PAGES["score"](stage), more, times=19)


def test_the_course_list_with_1_and_10_courses(cast: Cast, stage: Stage) -> None:
    def more() -> None:
        course = make_course(cast.tutor, Course.Form.DATED, f"No. {next(_number)}")
        course.ends_on = timezone.localdate() + timedelta(days=30)
        course.save()
        course.scores.add(stage.score)
        enrol(course, cast.student)

    for user in (cast.tutor, cast.student):
        for url in (reverse("courses"), reverse("desk")):
            same_with_more(user, url, more, times=9)


def test_handing_in_and_ruling_cost_the_same_however_many_there_are(
    cast: Cast, stage: Stage
) -> None:
    """A ruling's cost does not grow with the paper."""
    rewrite(Prompt.objects.all(), wanted_max=20)

    def cost_of_a_ruling(n: int) -> int:
        user: Any = person(f"Writer {n}")
        enrol(stage.course, user)
        paper = handed_in(stage, user, *[FREE] * n, check=False)
        statement = latest(paper.observations.order_by("pk")[0])
        with CaptureQueriesContext(connection) as seen:
            rule(statement=statement, by=cast.tutor, flag="agrees")
        return len(seen)

    assert cost_of_a_ruling(10) == cost_of_a_ruling(2)
