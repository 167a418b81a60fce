"""Finds and threads: once, on the record, between the two sides."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from submissions.models import Find, Message
from submissions.services import finds
from tests.cast import Cast, Stage, handed_in

pytestmark = pytest.mark.django_db


def send(cast: Cast, stage: Stage, **more: Any) -> Find:
    values = {"client_key": "k", "first_bar": 0, "last_bar": 1, "text": "Here!", **more}
    return finds.send_find(
        student=cast.student, course=stage.course, version=stage.version, **values
    )


def test_the_same_find_twice_is_one(cast: Cast, stage: Stage) -> None:
    assert send(cast, stage) == send(cast, stage, text="Here, I say!")
    assert Message.objects.get().text == "Here!"


def test_an_empty_find_and_an_empty_turn_are_refused(cast: Cast, stage: Stage) -> None:
    with pytest.raises(ValidationError):
        send(cast, stage, text="  \n ")
    with pytest.raises(ValidationError):
        finds.answer(author=cast.tutor, client_key="a", text=" ", find=send(cast, stage))


def test_the_tutor_s_answer_marks_it_answered_once(cast: Cast, stage: Stage) -> None:
    find = send(cast, stage)
    finds.answer(author=cast.student, client_key="more", text="And there.", find=find)
    assert find.answered_at is None
    one = finds.answer(author=cast.tutor, client_key="a", text="Yes.", find=find)
    two = finds.answer(author=cast.tutor, client_key="a", text="Yes.", find=find)
    assert one == two
    find.refresh_from_db()
    assert find.answered_at
    assert find.messages.count() == 3


def test_a_key_of_one_thread_cannot_pull_a_message_out_of_another(cast: Cast, stage: Stage) -> None:
    """Two windows, one key: the words of the second are not lost without a word."""
    first, second = send(cast, stage), send(cast, stage, client_key="k2")
    finds.answer(author=cast.tutor, client_key="a", text="On the first.", find=first)
    with pytest.raises(ValidationError):
        finds.answer(author=cast.tutor, client_key="a", text="On the second.", find=second)
    assert second.messages.count() == 1


def test_a_question_on_a_statement(cast: Cast, stage: Stage) -> None:
    statement = handed_in(stage, cast.student).observations.get()
    for _n in range(2):
        finds.answer(author=cast.student, client_key="q", text="Why?", observation=statement)
    assert statement.messages.get().text == "Why?"


def test_through_the_pages(cast: Cast, stage: Stage) -> None:
    student, tutor = Client(), Client()
    student.force_login(cast.student)
    tutor.force_login(cast.tutor)
    where = reverse("send-find", args=[stage.course.public_id, stage.score.public_id])
    for _n in range(2):
        sent = student.post(where, {"bars": "5-6", "text": "A hush.", "client_key": "w1"})
        assert sent.status_code == 302
    find = Find.objects.get()
    assert (find.first_bar, find.last_bar) == (4, 5)
    page = reverse("find", args=[find.public_id])
    assert b"A hush." in tutor.get(page).content
    tutor.post(page, {"text": "Well found.", "client_key": "w2"})
    assert b"Well found." in student.get(reverse("desk")).content
    assert b"Well found." in student.get(page).content
    assert b"Well found." not in student.get(reverse("desk")).content, "it is read"


def test_bars_that_are_not_there_keep_what_was_typed(cast: Cast, stage: Stage) -> None:
    student = Client()
    student.force_login(cast.student)
    where = reverse("send-find", args=[stage.course.public_id, stage.score.public_id])
    answer = student.post(where, {"bars": "400", "text": "My long find.", "client_key": "w1"})
    assert answer.status_code == 422
    assert b"My long find." in answer.content
    assert b"w1" in answer.content


@pytest.mark.parametrize("on_paper", [False, True])
def test_a_refused_find_comes_back_on_its_page_with_all_that_was_entered(
    cast: Cast, stage: Stage, client: Client, on_paper: bool
) -> None:
    client.force_login(cast.student)
    where = reverse("send-find", args=[stage.course.public_id, stage.score.public_id])
    sent = {"bars": "7000", "text": "A hush <here>.", "client_key": "mine", "shown_to_group": "on"}
    if on_paper:
        sent["assignment"] = str(stage.assignment.public_id)
    answer = client.post(where, sent)
    assert answer.status_code == 422
    assert not Find.objects.exists()
    page = answer.content.decode()
    assert 'id="score"' in page
    assert 'value="7000"' in page
    assert "A hush &lt;here&gt;." in page
    assert 'name="client_key" value="mine"' in page
    assert 'name="shown_to_group" checked' in page
    assert 'id="find-problem"><li>' in page
    assert ('id="statement"' in page) == on_paper
    sent["bars"] = "5-6"
    assert client.post(where, sent).status_code == 302
    assert Find.objects.get().shown_to_group


@pytest.mark.parametrize("page", ["nonsense", "00000000-0000-0000-0000-000000000000"])
def test_a_refused_find_of_a_page_that_is_not_one_s_own_shows_nothing_foreign(
    cast: Cast, stage: Stage, client: Client, page: str
) -> None:
    client.force_login(cast.student)
    where = reverse("send-find", args=[stage.course.public_id, stage.score.public_id])
    answer = client.post(where, {"bars": "7000", "text": "Here.", "assignment": page})
    assert answer.status_code == 404
