"""/healthz and /readyz."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from courses import health


@pytest.mark.django_db
def test_the_process_answers_whatever_else_is_down(client: Client) -> None:
    assert client.get("/healthz").json() == {"alive": True}


def test_the_process_answers_under_any_name_and_nothing_else_does(settings: Any) -> None:
    """As the container asks itself: by 127.0.0.1, while the site has another name."""
    settings.ALLOWED_HOSTS = ["example.org"]
    settings.SECURE_SSL_REDIRECT = True
    for host in ("127.0.0.1:8000", "example.org", "10.0.0.7"):
        answer = Client().get("/healthz", headers={"host": host})
        assert (answer.status_code, answer.json()) == (200, {"alive": True}), host
    assert Client().post("/healthz", headers={"host": "127.0.0.1"}).status_code == 405
    for path in ("/readyz", "/account/login/", "/healthz/"):
        assert Client().get(path, headers={"host": "127.0.0.1"}).status_code == 400, path


@pytest.mark.django_db
def test_ready_means_everything_answers(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(health.CHECKS, "broker", lambda: True)
    monkeypatch.setitem(health.CHECKS, "worker", lambda: True)
    answer = client.get("/readyz")
    assert answer.status_code == 200
    assert answer.json() == {
        "ready": True,
        "database": "ok",
        "broker": "ok",
        "worker": "ok",
        "disk": "ok",
    }
    assert "no-store" in answer["Cache-Control"]


@pytest.mark.django_db
@pytest.mark.parametrize("down", ["database", "broker", "worker", "disk"])
def test_one_thing_down_is_not_ready(
    client: Client, monkeypatch: pytest.MonkeyPatch, down: str
) -> None:
    def fall() -> bool:
        raise OSError("a detail that is nobody's business")

    for name in health.CHECKS:
        monkeypatch.setitem(health.CHECKS, name, fall if name == down else lambda: True)
    answer = client.get("/readyz")
    assert answer.status_code == 503
    assert answer.json()[down] == "no"
    assert answer.json()["ready"] is False
    assert b"detail" not in answer.content


@pytest.mark.django_db
def test_a_missing_broker_is_noticed_quickly() -> None:
    assert health._word(health.broker) == "no"
    assert health._word(health.worker) == "no"
