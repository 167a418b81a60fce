"""What every template may know about the site."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest

from courses.reader import CHOICES, choices_of


def site(request: HttpRequest) -> dict[str, Any]:
    return {"demo": settings.DEMO, "reader": choices_of(request), "reader_choices": CHOICES}
