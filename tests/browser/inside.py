"""A browser whose every request is answered in this process, by Django's test client.

No server and no worker beside the test: jobs that a request asks for are done before its
answer goes out, so nothing has to be waited for and all of it lives in the test's transaction.
"""

from __future__ import annotations

import contextvars
import mimetypes
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import Context
from typing import Any
from urllib.parse import urlsplit

from django.contrib.staticfiles import finders
from django.test import Client

from courses.models import User
from tests.browser.people import PATIENCE

HOST = "http://testserver"
_KEPT = {"content-security-policy", "content-type", "location", "cache-control"}


@contextmanager
def window(
    browser: Any, user: User, drain_jobs: Callable[[], int], *, refusals: bool = False, **more: Any
) -> Iterator[Any]:
    """A page of a signed-in user; a complaint of the page's scripts fails the test.

    `refusals`: an answer that refuses (401, 409, 412) belongs to the test and is no complaint.
    """
    client = Client()
    client.force_login(user)
    context = browser.new_context(
        **{
            "viewport": {"width": 1280, "height": 900},
            "reduced_motion": "reduce",
            "service_workers": "block",  # its requests would pass by this process
            **more,
        }
    )
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    page.signed_in = client  # a test may sign the person out, and in again
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    refused = ("Failed to load resource", "Response Status Error Code") if refusals else ()
    page.on(
        "console",
        lambda m: (
            complaints.append(m.text)
            if m.type == "error" and not any(known in m.text for known in refused)
            else None
        ),
    )
    # The driver calls back in a context of its own, where Django would open a second connection.
    here = contextvars.copy_context()
    page.route("**/*", lambda route: _answer(route, here.copy(), client, drain_jobs))
    try:
        yield page
        assert complaints == []
    finally:
        context.close()


def _answer(route: Any, here: Context, client: Client, drain_jobs: Callable[[], int]) -> None:
    path = urlsplit(route.request.url).path
    if path.startswith("/static/"):
        _static(route, path.removeprefix("/static/"))
        return
    answer = here.run(_asked, route.request, client, drain_jobs)
    kept = {k: v for k, v in answer.headers.items() if k.lower() in _KEPT}
    route.fulfill(status=answer.status_code, headers=kept, body=answer.content)


def _asked(request: Any, client: Client, drain_jobs: Callable[[], int]) -> Any:
    url = urlsplit(request.url)
    where = f"{url.path}?{url.query}" if url.query else url.path
    sent = {f"HTTP_{k.upper().replace('-', '_')}": v for k, v in request.headers.items()
            if k.startswith(("x-", "hx-")) or k in {"accept", "if-match"}}  # fmt: skip
    if request.method == "GET":
        answer = client.get(where, **sent)
        return client.get(where, **sent) if drain_jobs() else answer
    kind = request.headers.get("content-type", "application/json")
    data = request.post_data or ""
    answer = client.generic(request.method, where, data, content_type=kind, **sent)
    drain_jobs()
    return answer


def _static(route: Any, name: str) -> None:
    found = finders.find(name)
    if not found:
        route.fulfill(status=404, body="")
        return
    kind = mimetypes.guess_type(name)[0] or "application/octet-stream"
    route.fulfill(status=200, content_type=kind, path=found)
