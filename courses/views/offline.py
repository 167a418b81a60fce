"""The worker that keeps a reading page over a reload without a line."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_GET

WORKER = Path(settings.BASE_DIR) / "static" / "js" / "offline" / "worker.js"


@require_GET
@cache_control(no_cache=True)
def worker(request: HttpRequest) -> HttpResponse:
    """At the root: a worker reaches no further than its own address. It holds nothing itself."""
    return HttpResponse(WORKER.read_bytes(), content_type="text/javascript; charset=utf-8")
