"""Signed out meanwhile: scripts are told so, people are led to the door. Common practice."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.cast import Cast, Stage

pytestmark = pytest.mark.django_db

BROWSER = "text/html,application/xhtml+xml,*/*;q=0.8"


@pytest.mark.parametrize(
    "sent", [{"HTTP_ACCEPT": "*/*"}, {"HTTP_ACCEPT": BROWSER, "HTTP_HX_REQUEST": "true"}]
)
def test_a_script_is_told(stage: Stage, sent: dict[str, Any]) -> None:
    answer = Client().get(reverse("described", args=[stage.version.public_id]), **sent)
    assert answer.status_code == 401
    assert "You are signed out." in answer.json()["detail"]


def test_a_person_is_led_to_the_door_and_back(stage: Stage) -> None:
    url = reverse("described", args=[stage.version.public_id])
    for sent in ({"HTTP_ACCEPT": BROWSER}, {}):
        answer = Client().get(url, **sent)
        assert answer.status_code == 302
        assert answer["Location"] == f"{reverse('account_login')}?next={url}"


def test_who_is_signed_in_meets_nothing_of_it(cast: Cast, stage: Stage) -> None:
    client = Client()
    client.force_login(cast.student)
    url = reverse("described", args=[stage.version.public_id])
    assert client.get(url, HTTP_ACCEPT="*/*").status_code == 200
