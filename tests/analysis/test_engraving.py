"""Engraved pages arrive while later ones are still being made."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from analysis import engraving
from tests.browser.pieces import orchestra
from tests.cast import Cast, read_for_real


@pytest.mark.slow
@pytest.mark.django_db
def test_the_first_pages_can_be_read_while_later_ones_are_made(
    cast: Cast, client: Client, drain_jobs: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    version = read_for_real(cast.tutor, orchestra(40))
    client.force_login(cast.tutor)
    where = reverse("score-view", args=[version.public_id])
    draw, seen = engraving.engine.pages, []

    def watched(*args: Any, **more: Any) -> Any:
        state = client.get(where, {"sheet": 110}).json()
        first = client.get(reverse("score-page", args=[version.public_id, state["key"], 1]))
        seen.append((state["ready"], state["pages"], first.status_code))
        return draw(*args, **more)

    monkeypatch.setattr(engraving.engine, "pages", watched)
    assert client.get(where, {"sheet": 110}).json()["pages"] is None
    drain_jobs()
    assert seen
    ready, pages, status = seen[0]
    assert 0 < ready < pages
    assert status == 200
    whole = client.get(where, {"sheet": 110}).json()
    assert whole["ready"] == whole["pages"] == pages
