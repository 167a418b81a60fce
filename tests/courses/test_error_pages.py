"""Pages for what goes wrong: in the site's frame, with what is safe and a way back."""

from __future__ import annotations

import pytest
from django.test import Client, RequestFactory
from django.urls import reverse
from django.views.defaults import permission_denied, server_error

from tests.cast import Cast


def _in_our_frame(page: str) -> None:
    assert 'class="site-head"' in page
    assert "css/site" in page
    assert '<a class="button primary" href="/">' in page, "a way back"


def test_500_asks_no_database() -> None:
    # No database mark: a query would fail the test.
    answer = server_error(RequestFactory().get("/"))
    page = answer.content.decode()
    assert answer.status_code == 500
    _in_our_frame(page)
    assert "What was kept before is safe" in page


@pytest.mark.django_db
def test_404_for_somebody_and_for_nobody(cast: Cast, client: Client) -> None:
    for user in (None, cast.student):
        if user:
            client.force_login(user)
        answer = client.get("/no-such-page/")
        assert answer.status_code == 404
        _in_our_frame(answer.content.decode())
        assert "Nothing you wrote is lost" in answer.content.decode()


@pytest.mark.django_db
def test_a_form_of_an_old_page_says_where_its_words_are(cast: Cast) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(cast.tutor)
    answer = client.post(reverse("new-course"), {"title": "Evenings"})
    page = answer.content.decode()
    assert answer.status_code == 403
    _in_our_frame(page)
    assert "still in the page before this one" in page


@pytest.mark.django_db
def test_403(cast: Cast) -> None:
    request = RequestFactory().get("/")
    request.user = cast.student
    answer = permission_denied(request, PermissionError())
    assert answer.status_code == 403
    _in_our_frame(answer.content.decode())
