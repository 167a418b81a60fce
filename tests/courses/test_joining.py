"""Invitation words, asking in, the tutor's yes."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from courses.models import Consent, Course, Enrolment, Invitation, User
from courses.services import joining
from tests.cast import Cast, make_course

pytestmark = pytest.mark.django_db


@pytest.fixture
def course(cast: Cast) -> Course:
    cache.clear()
    return make_course(cast.tutor)


def ask(user: User, invitation: Invitation, **more: Any) -> Enrolment:
    values = {"age_band": "adult", "agreed": True, **more}
    return joining.ask_in(user=user, invitation=invitation, **values)


def test_a_word_opens_its_course_however_it_is_typed(cast: Cast, course: Course) -> None:
    invitation, word = joining.invite(course=course, by=cast.tutor)
    for typed in (word, word.upper(), word.replace("-", " "), f"  {word} ", word.replace("-", "")):
        assert joining.find_invitation(typed, who="me") == invitation
    assert invitation.word_hash != word


@pytest.mark.parametrize(
    "change",
    [
        {"expires_at": timezone.now() - timedelta(seconds=1)},
        {"revoked_at": timezone.now()},
        {"uses_left": 0},
    ],
    ids=["expired", "revoked", "used up"],
)
def test_a_dead_word_opens_nothing_at_either_door(
    cast: Cast, course: Course, change: dict[str, Any]
) -> None:
    invitation, word = joining.invite(course=course, by=cast.tutor)
    Invitation.objects.filter(pk=invitation.pk).update(**change)
    with pytest.raises(ValidationError) as refused:
        joining.find_invitation(word, who="me")
    assert refused.value.code == "unknown-word"
    with pytest.raises(ValidationError):  # found while it was alive, used when it is not
        ask(cast.nobody, invitation)
    assert not Enrolment.objects.exists()


def test_a_new_word_ends_the_old_one(cast: Cast, course: Course) -> None:
    _old, word = joining.invite(course=course, by=cast.tutor)
    joining.invite(course=course, by=cast.tutor)
    with pytest.raises(ValidationError):
        joining.find_invitation(word, who="me")


def test_wrong_words_become_too_many_for_one_guesser(cast: Cast, course: Course) -> None:
    _invitation, word = joining.invite(course=course, by=cast.tutor)
    for _n in range(10):
        with pytest.raises(ValidationError) as refused:
            joining.find_invitation("no-such-word", who="guesser")
        assert refused.value.code == "unknown-word"
    with pytest.raises(ValidationError) as refused:
        joining.find_invitation(word, who="guesser")
    assert refused.value.code == "limited"
    assert joining.find_invitation(word, who="somebody else")


def test_a_class_comes_in_from_one_address(cast: Cast, course: Course) -> None:
    """Reliability S8: sixty students behind one address in two minutes, none refused."""
    _invitation, word = joining.invite(course=course, by=cast.tutor)
    for _n in range(60):
        answer = Client(REMOTE_ADDR="192.0.2.1").post(reverse("give-word"), {"word": word})
        assert answer.status_code == 302


def test_asking_waits_for_the_yes(cast: Cast, course: Course) -> None:
    invitation, _word = joining.invite(course=course, by=cast.tutor, uses=5)
    asked = ask(cast.nobody, invitation)
    assert asked.state == Enrolment.State.ASKED
    assert not Course.objects.visible_to(cast.nobody).exists()
    joining.decide(enrolment=asked, by=cast.tutor, yes=True)
    assert Course.objects.visible_to(cast.nobody).get() == course
    invitation.refresh_from_db()
    assert invitation.uses_left == 4
    assert Consent.objects.get().user == cast.nobody


def test_asking_twice_is_asking_once(cast: Cast, course: Course) -> None:
    invitation, _word = joining.invite(course=course, by=cast.tutor, uses=5)
    assert ask(cast.nobody, invitation) == ask(cast.nobody, invitation)
    invitation.refresh_from_db()
    assert invitation.uses_left == 4


def test_who_was_refused_may_ask_again(cast: Cast, course: Course) -> None:
    invitation, _word = joining.invite(course=course, by=cast.tutor)
    joining.decide(enrolment=ask(cast.nobody, invitation), by=cast.tutor, yes=False)
    assert ask(cast.nobody, invitation).state == Enrolment.State.ASKED


def test_no_joining_without_agreeing_nor_one_s_own_course(cast: Cast, course: Course) -> None:
    invitation, _word = joining.invite(course=course, by=cast.tutor)
    with pytest.raises(ValidationError):
        ask(cast.nobody, invitation, agreed=False)
    with pytest.raises(ValidationError):
        ask(cast.tutor, invitation)
    assert not Enrolment.objects.exists()


def test_the_last_use_is_one_use(cast: Cast, course: Course) -> None:
    invitation, _word = joining.invite(course=course, by=cast.tutor, uses=1)
    ask(cast.nobody, invitation)
    with pytest.raises(ValidationError):
        ask(cast.stranger, invitation)


def test_a_link_for_an_assistant_works_once_and_at_once(cast: Cast, course: Course) -> None:
    invitation, token = joining.invite_by_link(course=course, by=cast.tutor, role="assistant")
    assert joining.find_invitation(token, who="a") == invitation
    assert ask(cast.assistant, invitation).state == Enrolment.State.ACTIVE
    with pytest.raises(ValidationError):
        joining.find_invitation(token, who="a")


def test_through_the_pages_with_a_new_account(cast: Cast, course: Course) -> None:
    _invitation, word = joining.invite(course=course, by=cast.tutor)
    client = Client()
    assert client.post(reverse("give-word"), {"word": word})["Location"] == reverse("join-course")
    answer = client.post(
        reverse("join-course"),
        {"display_name": "New", "username": "newcomer", "password": "pass-the-oboe-9",
         "age_band": "16-17", "agreed": "on"},
    )  # fmt: skip
    assert answer["Location"] == reverse("desk")
    enrolment = Enrolment.objects.get()
    assert enrolment.state == Enrolment.State.ASKED
    assert enrolment.user.is_minor
    assert enrolment.user.email == ""


def _at_the_door(client: Client, user: User, word: str) -> str:
    client.force_login(user)
    client.post(reverse("give-word"), {"word": word})
    return client.get(reverse("join-course")).content.decode()


def test_the_age_band_is_chosen_never_preset(cast: Cast, course: Course, client: Client) -> None:
    _invitation, word = joining.invite(course=course, by=cast.tutor)
    page = _at_the_door(client, cast.nobody, word)
    assert '<option value="" selected>' in page
    answer = client.post(reverse("join-course"), {"age_band": "", "agreed": "on"})
    assert "Choose your age band." in answer.content.decode()
    assert not Enrolment.objects.exists()


def test_who_has_said_the_age_band_is_not_asked_again(
    cast: Cast, course: Course, client: Client
) -> None:
    _invitation, word = joining.invite(course=course, by=cast.tutor)
    User.objects.filter(pk=cast.nobody.pk).update(age_band="13-15")
    assert "age_band" not in _at_the_door(client, cast.nobody, word)
    client.post(reverse("join-course"), {"agreed": "on"})
    assert Enrolment.objects.get().user.age_band == "13-15"


def test_for_a_minor_the_tutor_is_reminded_of_the_parents(
    cast: Cast, course: Course, client: Client
) -> None:
    invitation, _word = joining.invite(course=course, by=cast.tutor)
    ask(cast.nobody, invitation)
    client.force_login(cast.tutor)
    pages = reverse("course", args=[course.public_id]), reverse("desk")
    assert all("parent’s consent" not in client.get(p).content.decode() for p in pages)
    User.objects.filter(pk=cast.nobody.pk).update(age_band="13-15")
    assert all("parent’s consent" in client.get(p).content.decode() for p in pages)
