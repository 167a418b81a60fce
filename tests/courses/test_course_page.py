"""The tutor's page of a course: what may be put in, who may be let in and out."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from courses.models import Enrolment, Invitation, ScoreVersion
from courses.services import joining
from submissions.models import Paper
from tests.cast import Cast, Stage, handed_in, make_course, ready_score

pytestmark = pytest.mark.django_db


def test_only_scores_that_can_be_read_are_offered(cast: Cast, client: Client) -> None:
    course = make_course(cast.tutor)
    good, _run = ready_score(cast.tutor, "II")
    bad, _run = ready_score(cast.tutor, "III")
    ScoreVersion.objects.filter(pk=bad.pk).update(state=ScoreVersion.State.REFUSED)
    client.force_login(cast.tutor)
    page = client.get(reverse("course", args=[course.public_id])).content.decode()
    assert f'value="{good.score.public_id}"' in page
    assert f'value="{bad.score.public_id}"' not in page


def test_a_student_taken_out_reaches_nothing_and_the_paper_stays(
    cast: Cast, stage: Stage, client: Client
) -> None:
    handed_in(stage, cast.student)
    course = reverse("course", args=[stage.course.public_id])
    enrolment = Enrolment.objects.get(course=stage.course, user=cast.student)
    client.force_login(cast.tutor)
    page = client.post(reverse("take-out", args=[enrolment.public_id]), follow=True)
    assert "Papers stay on the record." in page.content.decode()
    review = client.get(reverse("review", args=[stage.assignment.public_id]))
    assert "Stella Student" in review.content.decode()
    assert Paper.objects.filter(student=cast.student).exists()
    client.force_login(cast.student)
    assert client.get(course).status_code == 404
    assert client.get(reverse("paper", args=[stage.assignment.public_id])).status_code == 404


def test_only_who_is_in_can_be_taken_out(cast: Cast) -> None:
    asked = Enrolment.objects.create(course=make_course(cast.tutor), user=cast.nobody)
    assert joining.take_out(enrolment=asked, by=cast.tutor).state == Enrolment.State.ASKED


def test_a_closed_invitation_opens_nothing(cast: Cast, client: Client) -> None:
    course = make_course(cast.tutor)
    invitation, word = joining.invite(course=course, by=cast.tutor)
    client.force_login(cast.tutor)
    page = client.post(reverse("close-invitation", args=[course.public_id]), follow=True)
    assert word not in page.content.decode()
    assert Invitation.objects.get(pk=invitation.pk).revoked_at
    with pytest.raises(ValidationError):
        joining.find_invitation(word, who="me")


def test_the_tutor_sees_when_an_assignment_closes(cast: Cast, stage: Stage, client: Client) -> None:
    client.force_login(cast.tutor)
    version = stage.assignment.current
    assert version is not None
    assert version.closes_at is not None
    page = client.get(reverse("course", args=[stage.course.public_id])).content.decode()
    assert f'datetime="{version.closes_at.isoformat(timespec="minutes")}"' in page
