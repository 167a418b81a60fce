"""How pages look to a reader: kept from a small panel that every page has."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from courses.reader import keep


@require_POST
def keep_reader(request: HttpRequest) -> HttpResponse:
    """Anybody's own choice. A script gets 204, a form the page it came from."""
    response = HttpResponse(status=204)
    if "text/html" in request.headers.get("Accept", ""):
        back = request.headers.get("Referer", "/")
        local = url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()})
        response = redirect(back if local else "/")
    keep(request, response, request.POST)
    return response
