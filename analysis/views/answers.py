"""What engraved pages of either kind answer with: how far they are, and one page."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse, JsonResponse

from analysis import storage
from analysis.jobs.models import Job
from analysis.jobs.selectors import state_of
from analysis.models import Engraving
from courses.models import User


def state_answer(
    key: str, book: Engraving | None, job: Job | None, user: User, **more: Any
) -> HttpResponse:
    """JSON: the view's key, how many pages there are and how many can be fetched."""
    waiting = state_of(job, user) if job else None
    answer = {
        "key": key,
        "pages": book.pages if book else None,
        "ready": book.page_count_ready() if book else 0,
        "page_of": book.view.get("page_of") if book else None,
        "ahead": waiting.ahead if waiting else 0,
        "problem": waiting.problem if waiting and waiting.stopped else "",
        **more,
    }
    response = JsonResponse(answer)
    response["Cache-Control"] = "no-store"
    return response


def page_answer(row: Engraving) -> HttpResponse:
    """One engraved page. Its content never changes, so the browser may keep it."""
    response = HttpResponse(storage.get(row.file), content_type="image/svg+xml")
    response["Cache-Control"] = "private, max-age=86400, immutable"
    response["Content-Security-Policy"] = "default-src 'none'; style-src 'none'; sandbox"
    return response
