"""`/healthz`: this process. `/readyz`: database, broker, a live worker, disk.

`/healthz` answers whatever name it is asked under: who looks after a container asks it by its
own address, which ALLOWED_HOSTS need not hold.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable

from celery import current_app
from django.conf import settings
from django.db import connection
from django.http import HttpRequest, HttpResponseBase, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

DISK_NEEDED = 0.10  # of the disk must be free
PING_SECONDS = 0.9


@require_safe
@never_cache
def healthz(request: HttpRequest) -> JsonResponse:
    return JsonResponse({"alive": True})


class HealthFirst:
    """Middleware before all others: none of them has looked at the host yet."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if request.path_info == "/healthz":
            return healthz(request)
        return self.get_response(request)


@require_safe
@never_cache
def readyz(request: HttpRequest) -> JsonResponse:
    """200 when everything answers, else 503; one word each, no detail for strangers."""
    found = {name: _word(check) for name, check in CHECKS.items()}
    ready = all(word == "ok" for word in found.values())
    return JsonResponse({"ready": ready, **found}, status=200 if ready else 503)


def _word(check: Callable[[], bool]) -> str:
    try:
        return "ok" if check() else "no"
    except Exception:
        return "no"


def database() -> bool:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1 FROM django_migrations LIMIT 1")
        return cursor.fetchone() is not None


def broker() -> bool:
    with current_app.connection_for_read() as line:
        line.ensure_connection(max_retries=1, interval_start=0, timeout=1)
        return bool(line.connected)


def worker() -> bool:
    """A worker's main process answers, however busy its children are."""
    answers = current_app.control.broadcast("ping", reply=True, limit=1, timeout=PING_SECONDS)
    return bool(answers)


def disk() -> bool:
    usage = shutil.disk_usage(settings.VAR_DIR)
    return usage.free / usage.total > DISK_NEEDED


CHECKS: dict[str, Callable[[], bool]] = {
    "database": database,
    "broker": broker,
    "worker": worker,
    "disk": disk,
}
