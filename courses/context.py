"""What every template may know about the site."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest


def site(request: HttpRequest) -> dict[str, Any]:
    return {"demo": settings.DEMO}
