"""All actors x all routes x all methods against the table of `matrix.py`."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.conf import settings
from django.contrib import admin
from django.core.signals import request_finished, request_started
from django.db import close_old_connections, transaction
from django.test import Client, override_settings
from django.urls import get_resolver, reverse

from tests.cast import Cast, make_cast, make_stage
from tests.permissions.matrix import (
    ACTORS,
    ADMIN_MODELS,
    OWN_ACCOUNT,
    ROWS,
    Props,
    Row,
    make_props,
)

pytestmark = pytest.mark.django_db
METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE")


@pytest.fixture(scope="module")
def standing(
    django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Cast, Props, dict[str, Any]]]:
    """People and a course for the whole table, made once: every request is undone again.

    One transaction around all tests of this module; theirs are savepoints within.
    """
    places = {
        "MEDIA_ROOT": tmp_path_factory.mktemp("files"),
        "STORAGES": {**settings.STORAGES, **{name: {"BACKEND": kind} for name, kind in (
            ("default", "django.core.files.storage.FileSystemStorage"),
            ("staticfiles", "django.contrib.staticfiles.storage.StaticFilesStorage"),
        )}},
    }  # fmt: skip
    quick = {"PASSWORD_HASHERS": ["django.contrib.auth.hashers.MD5PasswordHasher"]}
    with django_db_blocker.unblock(), transaction.atomic():
        with override_settings(**places, **quick):
            cast = make_cast()
            props = make_props(cast, make_stage(cast))
        yield cast, props, places
        transaction.set_rollback(True)


@pytest.fixture
def cast(standing: tuple[Cast, Props, dict[str, Any]], db: None, settings: Any) -> Iterator[Cast]:
    for name, value in standing[2].items():
        setattr(settings, name, value)
    for signal in (request_started, request_finished):  # each test is within one transaction
        signal.disconnect(close_old_connections)
    yield standing[0]
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@pytest.fixture
def props(standing: tuple[Cast, Props, dict[str, Any]]) -> Props:
    return standing[1]


def _routes(resolver: Any, space: str = "") -> Iterator[str]:
    for pattern in resolver.url_patterns:
        if hasattr(pattern, "url_patterns"):
            inner = f"{space}{pattern.namespace}:" if pattern.namespace else space
            yield from _routes(pattern, inner)
        else:
            yield f"{space}{pattern.name}"


def all_routes() -> set[str]:
    return set(_routes(get_resolver()))


def _client(cast: Cast, actor: str, **more: Any) -> Client:
    client = Client(**more)
    if actor != "anonymous":
        client.force_login(cast.everybody()[actor])
    return client


def _ask(client: Client, row: Row, props: Props, method: str = "", **more: Any) -> Any:
    """One request, undone again with all it changed."""
    url = reverse(row.route, args=row.args(props))
    data = row.body(props)
    method = method or row.method
    if method != "GET" and (row.json or method != "POST"):
        data = {name: value for name, value in data.items() if name != "file"}
        more.update(data=json.dumps(data), content_type="application/json")
    else:
        more.update(data=data)
    client.raise_request_exception = False
    with transaction.atomic():
        answer = getattr(client, method.lower())(url, **more)
        transaction.set_rollback(True)
    return answer


def sign_of(row: Row, answer: Any) -> str:
    status = answer.status_code
    to_the_door = status == 302 and answer["Location"].startswith(reverse("account_login"))
    if to_the_door or (status in {401, 403} and row.route.startswith("api-")):
        return "L"
    if status == 404:
        return "-"
    let_in = {200, 202, 204, 302, 409, 412, 422}
    if row.route == "readyz":
        let_in.add(503)  # no worker listens in a test
    return "." if status in let_in else "?"


def test_every_address_has_a_row() -> None:
    named = {row.route for row in ROWS} | OWN_ACCOUNT
    found = {route for route in all_routes() if not route.startswith("admin:")}
    assert found - named == set(), "write a row in tests/permissions/matrix.py"
    assert named - found == set(), "rows of addresses that are gone"


def test_the_site_admin_has_no_room_with_what_people_wrote() -> None:
    assert {model._meta.label_lower for model in admin.site._registry} == ADMIN_MODELS


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.method} {row.route}")
def test_who_gets_what(row: Row, cast: Cast, props: Props) -> None:
    found = "".join(sign_of(row, _ask(_client(cast, actor), row, props)) for actor in ACTORS)
    told = dict(zip(ACTORS, zip(row.who, found, strict=True), strict=True))
    assert found == row.who, {a: both for a, both in told.items() if both[0] != both[1]}


@pytest.mark.parametrize("route", sorted({row.route for row in ROWS}))
def test_other_methods_do_nothing(route: str, cast: Cast, props: Props) -> None:
    """405 for whoever is let in; nobody gets an answer out of a method without a row."""
    rows = [row for row in ROWS if row.route == route]
    for method in METHODS:
        if method in {row.method for row in rows}:
            continue
        for actor in ("anonymous", "student", "tutor"):
            answer = _ask(_client(cast, actor), rows[0], props, method)
            assert answer.status_code in {302, 403, 404, 405}, (method, actor, answer.status_code)
            if answer.status_code == 302:
                assert sign_of(rows[0], answer) == "L"


UNSAFE = [row for row in ROWS if row.method != "GET"]


@pytest.mark.parametrize("row", UNSAFE, ids=lambda row: f"{row.method} {row.route}")
def test_no_change_without_the_form_s_token(row: Row, cast: Cast, props: Props) -> None:
    """S7: cross-site requests are refused on every unsafe method, JSON included."""
    for actor, sign in zip(ACTORS, row.who, strict=True):
        if sign != ".":
            continue
        answer = _ask(_client(cast, actor, enforce_csrf_checks=True), row, props)
        assert answer.status_code == 403, (actor, answer.status_code)


@pytest.mark.parametrize("row", [r for r in ROWS if r.args.__name__ != "nothing"],
                         ids=lambda row: f"{row.method} {row.route}")  # fmt: skip
def test_a_thing_that_is_not_there_is_404_like_one_that_is_not_yours(
    row: Row, cast: Cast, props: Props
) -> None:
    if row.route in {"kind-form", "demo-enter", "notebook-file"}:
        return
    nowhere = "00000000-0000-4000-8000-000000000000"
    gone = Row(row.route, row.method, row.who, lambda p: [nowhere, *row.args(p)[1:]], row.body,
               row.json)  # fmt: skip
    foreign = _ask(_client(cast, "other_tutor"), row, props)
    absent = _ask(_client(cast, "other_tutor"), gone, props)
    assert (foreign.status_code, absent.status_code) == (404, 404)
    assert _without_token(foreign.content) == _without_token(absent.content)


def _without_token(page: bytes) -> bytes:
    """The page's frame holds a form token, which is masked anew for every answer."""
    return re.sub(rb'(csrfmiddlewaretoken" value=|"X-CSRFToken": )"\w+"', b"", page)


@pytest.mark.parametrize("route", sorted(r for r in all_routes() if r.startswith("admin:")))
def test_the_admin_s_rooms_are_the_admin_s(route: str, cast: Cast) -> None:
    if route in {"admin:login", "admin:logout", "admin:None", "admin:jsi18n"}:
        return
    args: list[Any] = []
    if route == "admin:view_on_site":
        args = [1, 1]
    elif route == "admin:app_list":
        args = ["auth"]
    elif route != "admin:password_change" and route.endswith(("_history", "_delete", "_change")):
        args = ["1"]
    url = reverse(route, args=args)
    for actor in ACTORS:
        answer = _client(cast, actor).get(url)
        if actor == "admin":
            assert answer.status_code in {200, 302, 404, 403}
        else:
            assert answer.status_code == 302
            assert "/login/" in answer["Location"]


@pytest.mark.parametrize("name", ["account_login", "account_signup", "account_reset_password"])
def test_the_doors_are_open_to_anybody(name: str, cast: Cast) -> None:
    assert _client(cast, "anonymous").get(reverse(name)).status_code == 200


@pytest.mark.parametrize(
    "name", ["account_email", "account_change_password", "mfa_index", "mfa_activate_totp"]
)
def test_own_account_needs_signing_in(name: str, cast: Cast) -> None:
    answer = _client(cast, "anonymous").get(reverse(name))
    assert answer.status_code == 302
    assert reverse("account_login") in answer["Location"]
