"""How pages look to a reader: on the page before any script, of the account or of the browser."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from courses.models import User
from courses.reader import CHOICES, COOKIE
from tests.cast import Cast

pytestmark = pytest.mark.django_db

DARK = {"theme": "dark", "type": "clear", "staff": "print", "palette": "ink"}


def root_of(client: Client, url: str = "account_login") -> str:
    """The page's first tag: what holds before anything is painted."""
    text = client.get(reverse(url)).content.decode()
    return text[text.index("<html") : text.index(">", text.index("<html"))]


def choose(client: Client, wanted: dict[str, Any]) -> Any:
    return client.post(reverse("keep-reader"), wanted, headers={"accept": "application/json"})


def test_the_browser_keeps_it_for_who_is_signed_out() -> None:
    client = Client()
    assert "data-" not in root_of(client)
    assert choose(client, DARK).status_code == 204
    for name, value in DARK.items():
        assert f'data-{name}="{value}"' in root_of(client)


def test_the_account_keeps_it_and_comes_before_the_browser(cast: Cast) -> None:
    client, other = Client(), Client()
    client.force_login(cast.student)
    choose(client, DARK)
    cast.student.refresh_from_db()
    assert cast.student.reader == DARK
    other.force_login(cast.student)
    assert 'data-theme="dark"' in root_of(other, "desk")
    # All as usual is a choice, too: what this browser had before does not come through.
    choose(other, dict.fromkeys(DARK, ""))
    assert "data-" not in root_of(client, "desk")
    assert User.objects.exclude(pk=cast.student.pk).filter(reader={}).count() == 8


@pytest.mark.parametrize("cookie", ["", "{", "[]", '{"theme": "<b>"}', '{"theme": ["dark"]}'])
def test_a_cookie_of_somebody_s_own_making_changes_nothing(cookie: str) -> None:
    client = Client()
    client.cookies[COOKIE] = cookie
    assert "data-" not in root_of(client)


def test_without_a_script_the_form_leads_back_to_its_page_and_nowhere_else() -> None:
    client = Client()
    to = f"http://testserver{reverse('account_login')}"
    for back, there in ((to, to), ("https://elsewhere.example/", "/")):
        html = {"accept": "text/html", "referer": back}
        answer = client.post(reverse("keep-reader"), {"theme": "dark"}, headers=html)
        assert answer.headers["Location"] == there
    assert 'data-theme="dark"' in root_of(client)


def test_every_value_stands_in_a_style_sheet() -> None:
    from tests.browser.conftest import ROOT

    styles = "".join(f.read_text() for f in (ROOT / "static" / "css").glob("*.css"))
    for name, (_label, values) in CHOICES.items():
        for value in filter(None, values):
            assert f'[data-{name}="{value}"]' in styles
