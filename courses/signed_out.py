"""Who is signed out meanwhile: a script of a page is told so, and not handed the sign-in page.

A page's script follows a redirect without seeing it and would take the sign-in page for what it
asked for. A browser's own request for a page says that it takes HTML, a script's does not.
"""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase, JsonResponse
from django.shortcuts import resolve_url
from django.utils.translation import gettext

UNAUTHORISED = 401


class TellScripts:
    """Middleware: 401 and a sentence instead of the way to the sign-in page."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        sent_on = response.headers.get("Location", "").partition("?")[0]
        if not sent_on or not _script(request) or request.user.is_authenticated:
            return response
        if sent_on != resolve_url(settings.LOGIN_URL):
            return response
        said = gettext(
            "You are signed out. Sign in again and load this page anew: what you typed is kept."
        )
        return JsonResponse({"detail": said}, status=UNAUTHORISED)


def _script(request: HttpRequest) -> bool:
    if "HX-Request" in request.headers:
        return True
    accepted = request.headers.get("Accept", "")
    return bool(accepted) and "text/html" not in accepted
