"""Bars in words and as a table, for whoever may read the score: full, or without any relation."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from analysis import storage
from analysis.effective import effective_findings
from analysis.engine.claims.speech import render as say
from analysis.engine.describe import MOST_BARS, describe, grid
from analysis.engine.errors import EngineError
from analysis.engine.settings import Settings
from analysis.models import Run
from analysis.selectors import current_run, readable_versions
from courses.access import SignedRequest
from courses.bars import parse_bars, typed
from courses.locks import locks_on
from submissions.layers import TOLD, allowed
from submissions.sight import Answers, may_see


@require_GET
@login_required
def description(request: SignedRequest, version_id: uuid.UUID) -> HttpResponse:
    """A page of its own, or the fragment that a score page fetches."""
    files = readable_versions(request.user).select_related("score__work")
    version = get_object_or_404(files, public_id=version_id)
    run = current_run(version)
    locks = locks_on(request.user, version.score, timezone.now())
    # Words would tell what the eye may not see yet, or is to find by itself.
    if run is None or locks.page or locks.line or locks.facts:
        raise Http404
    page: dict[str, Any] = {"version": version, "score": version.score}
    status, fragment = 200, "HX-Request" in request.headers
    if asked := _asked(request):
        try:
            page.update(_described(request, run, *_bars(asked, run)))
        except (ValidationError, EngineError) as problem:
            said = problem.messages if isinstance(problem, ValidationError) else [str(problem)]
            page["problem"], status = " ".join(said), 200 if fragment else 422
    template = "_described" if fragment else "described"
    response = render(request, f"submissions/{template}.html", page, status=status)
    response["Cache-Control"] = "private, no-store"  # what one may read changes with release
    patch_vary_headers(response, ["HX-Request"])
    return response


def _asked(request: SignedRequest) -> dict[str, str]:
    names = ("bars", "first", "last")
    return {name: value for name in names if (value := request.GET.get(name, "").strip())}


def _bars(asked: dict[str, str], run: Run) -> tuple[int, int]:
    """Indices as scripts have them, or bars as people type them."""
    first, last = asked.get("first", ""), asked.get("last", asked.get("first", ""))
    if first.isdecimal() and last.isdecimal():
        return int(first), int(last)
    return parse_bars(asked.get("bars", ""), run.copy.outline)


def _described(request: SignedRequest, run: Run, first: int, last: int) -> dict[str, Any]:
    """The full form for those who may see all it tells about these bars, else the neutral one."""
    now = timezone.now()
    tutors = may_see(request.user, Answers(run, first, last), now)
    whole = tutors or allowed(request.user, run, first, last, now) >= TOLD
    full = whole and request.GET.get("form") != "neutral"
    table = storage.table_of(run)
    findings = effective_findings(run) if full else None
    told = describe(table, first, last, findings, Settings.from_dict(run.settings))
    found: dict[str, Any] = {
        "first": first,
        "last": last,
        "bars": typed(first, last, run.copy.outline),
        "full": full,
        "whole": whole,
        "tutors": tutors,
        "sentences": [say(sentence, gettext) for sentence in told.sentences],
    }
    if last - first < MOST_BARS:
        cells = grid(table, first, last, findings)
        found["labels"] = cells.bars
        found["rows"] = [
            {
                "label": row.label,
                "lowest": row.lowest,
                "highest": row.highest,
                "cells": [{"plays": plays, "said": say(s, gettext)} for plays, s in row.cells],
            }
            for row in cells.rows
        ]
    else:
        found["no_table"] = _("For a table of parts and bars choose {most} bars at most.").format(
            most=MOST_BARS
        )
    return found
