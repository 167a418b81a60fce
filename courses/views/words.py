"""The words of the trade and the names of the instruments, on one page."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from analysis.engine.instruments.languages import names
from courses.access import SignedRequest
from courses.glossary import WORDS


@require_GET
@login_required
def words_page(request: SignedRequest) -> HttpResponse:
    rows = sorted(WORDS.items(), key=lambda row: str(row[1].term).casefold())
    page = {"words": rows, "instruments": names().values()}
    return render(request, "courses/words.html", page)
