"""How far a job is, as a fragment that asks again by itself; and the retry button."""

from __future__ import annotations

import uuid

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET, require_POST

from analysis.jobs import registry
from analysis.jobs.models import Job
from analysis.jobs.queue import retry
from analysis.jobs.selectors import state_of


def _visible(request: HttpRequest, public_id: uuid.UUID) -> tuple[Job, registry.Kind]:
    """The job, or 404 for whoever may not see it."""
    job = get_object_or_404(Job, public_id=public_id)
    try:
        kind = registry.get(job.kind)
    except registry.UnknownKind:
        raise Http404 from None
    if not kind.seen_by(request.user, job):
        raise Http404
    return job, kind


@require_GET
@login_required
def progress(request: HttpRequest, public_id: uuid.UUID) -> HttpResponse:
    job, _kind = _visible(request, public_id)
    return _fragment(request, job)


@require_POST
@login_required
def try_again(request: HttpRequest, public_id: uuid.UUID) -> HttpResponse:
    job, kind = _visible(request, public_id)
    if not kind.retried_by(request.user, job):
        raise Http404
    return _fragment(request, retry(job))


def _fragment(request: HttpRequest, job: Job) -> HttpResponse:
    reload = request.GET.get("reload") == "1"
    response = render(
        request,
        "analysis/jobs/_progress.html",
        {"job": state_of(job, request.user), "reload": reload},
    )
    response["Cache-Control"] = "no-store"
    if job.state == Job.State.DONE:
        response["HX-Trigger"] = "job-done"
        if reload:
            response["HX-Refresh"] = "true"
    return response
