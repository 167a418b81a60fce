"""What the state of a thing changes about who reaches it."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from courses.models import Assignment, AssignmentVersion, Enrolment, Group, User
from courses.services import assignments, library
from submissions.services.papers import open_paper, release
from tests.cast import OCTAVE, Cast, Stage, handed_in, paper_of
from tests.rewrite import rewrite

pytestmark = pytest.mark.django_db


def client_of(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client


def status(user: User, name: str, *args: Any) -> int:
    return int(client_of(user).get(reverse(name, args=args)).status_code)


def put_statement(user: User, paper_id: Any) -> int:
    url = reverse("api-statement", args=[paper_id, "k9"])
    answer = client_of(user).put(url, json.dumps(OCTAVE), content_type="application/json")
    return int(answer.status_code)


def times(stage: Stage, **shift: Any) -> None:
    now = timezone.now()
    values = {name: now + timedelta(days=days) for name, days in shift.items()}
    rewrite(AssignmentVersion.objects.filter(pk=stage.assignment.current_id), **values)


def test_a_draft_is_the_tutor_s_alone(cast: Cast, stage: Stage) -> None:
    draft = assignments.create_assignment(course=stage.course, by=cast.tutor, title="Secret plan")
    assert status(cast.student, "paper", draft.public_id) == 404
    page = client_of(cast.student).get(reverse("course", args=[stage.course.public_id]))
    assert b"Secret plan" not in page.content
    assert status(cast.tutor, "assignment", draft.public_id) == 200


def test_not_open_yet_says_when_and_makes_no_paper(cast: Cast, stage: Stage) -> None:
    times(stage, opens_at=1)
    assert status(cast.student, "paper", stage.assignment.public_id) == 302
    assert not stage.assignment.papers.exists()


def test_after_closing_what_is_written_is_kept_and_marked_late(cast: Cast, stage: Stage) -> None:
    paper = paper_of(cast.student, stage.assignment)
    times(stage, closes_at=-1)
    assert put_statement(cast.student, paper.public_id) == 200
    answer = client_of(cast.student).post(reverse("api-hand-in", args=[paper.public_id]))
    assert answer.json()["late"] is True


def test_withdrawn_takes_the_page_away_and_keeps_the_words(cast: Cast, stage: Stage) -> None:
    paper = paper_of(cast.student, stage.assignment)
    Assignment.objects.filter(pk=stage.assignment.pk).update(state=Assignment.State.WITHDRAWN)
    assert status(cast.student, "paper", stage.assignment.public_id) == 404
    assert status(cast.student, "api-statements", paper.public_id) == 200
    assert put_statement(cast.student, paper.public_id) == 409


def test_a_released_paper_takes_no_more(cast: Cast, stage: Stage) -> None:
    paper = handed_in(stage, cast.student)
    release(paper=paper, by=cast.tutor)
    assert put_statement(cast.student, paper.public_id) == 409
    answer = client_of(cast.student).post(reverse("api-hand-in", args=[paper.public_id]))
    assert answer.status_code == 409


def test_a_score_taken_down_is_the_tutor_s_alone(cast: Cast, stage: Stage) -> None:
    library.take_down(score=stage.score, by=cast.tutor)
    assert status(cast.student, "score-view", stage.version.public_id) == 404
    assert status(cast.student, "read-score", stage.course.public_id, stage.score.public_id) == 404
    assert status(cast.assistant, "score-midi", stage.version.public_id) == 404
    assert status(cast.tutor, "score-view", stage.version.public_id) == 200


@pytest.mark.parametrize("state", ["asked", "refused", "left"])
def test_a_change_of_place_counts_from_the_next_request(
    cast: Cast, stage: Stage, state: str
) -> None:
    paper = paper_of(cast.student, stage.assignment)
    student = client_of(cast.student)
    page = reverse("paper", args=[stage.assignment.public_id])
    assert student.get(page).status_code == 200
    Enrolment.objects.filter(user=cast.student).update(state=state)
    assert student.get(page).status_code == 404
    assert student.get(reverse("api-statements", args=[paper.public_id])).status_code == 404
    assert student.get(reverse("course", args=[stage.course.public_id])).status_code == 404
    view = reverse("score-view", args=[stage.version.public_id])
    assert student.get(view).status_code == 404


def test_an_assignment_for_a_group_reaches_the_group_alone(cast: Cast, stage: Stage) -> None:
    group = Group.objects.create(course=stage.course, name="Thursdays")
    rewrite(AssignmentVersion.objects.filter(pk=stage.assignment.current_id), group=group)
    Enrolment.objects.filter(user=cast.student).update(group=group)
    assert open_paper(student=cast.student, assignment=stage.assignment)
    assert status(cast.student, "paper", stage.assignment.public_id) == 200
    assert status(cast.fellow, "paper", stage.assignment.public_id) == 404


def test_another_student_s_draft_is_not_even_the_tutor_s(cast: Cast, stage: Stage) -> None:
    from tests.cast import state

    paper = paper_of(cast.student, stage.assignment)
    draft = state(paper, stage.run)
    assert status(cast.tutor, "thread", draft.public_id) == 404
    assert status(cast.student, "thread", draft.public_id) == 200
