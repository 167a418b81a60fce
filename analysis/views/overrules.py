"""The tutor's word on a finding."""

from __future__ import annotations

import json
import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from analysis.models import Overrule
from analysis.selectors import copy_of, version_asked
from analysis.services import overrules
from courses.access import SignedRequest, own_score, tutor_required
from courses.bars import movement_of, parse_bars


@require_http_methods(["GET", "POST"])
@tutor_required
def overrule_finding(request: SignedRequest, score_id: uuid.UUID) -> HttpResponse:
    """Say that a finding is not there."""
    score = own_score(request.user, score_id)
    if request.method == "GET":
        return redirect("score", score.public_id)
    version = version_asked(score, request.POST.get("file"))
    try:
        finding = json.loads(request.POST.get("finding", ""))
        what = {k: finding[k] for k in ("kind", "movement", "first_bar", "last_bar", "parts")}
        value = finding["value"]
    except (ValueError, KeyError, TypeError):
        raise Http404 from None
    if version is None:
        raise Http404
    try:
        overrules.overrule(
            version=version,
            by=request.user,
            says=Overrule.Says.ABSENT,
            overruled=value,
            reason=request.POST.get("reason", ""),
            **what,
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(
            request, _("Your word stands everywhere now; statements on it are compared again.")
        )
    return redirect("score", score.public_id)


@require_http_methods(["GET", "POST"])
@tutor_required
def place_overrule(request: SignedRequest, overrule_id: uuid.UUID) -> HttpResponse:
    """A word whose place a corrected file no longer has gets its bars anew."""
    row = get_object_or_404(
        Overrule.objects.filter(version__score__tutor=request.user).select_related(
            "version__score"
        ),
        public_id=overrule_id,
    )
    score = row.version.score
    if request.method == "GET":
        return redirect("score", score.public_id)
    version = version_asked(score, request.POST.get("file"))
    copy = copy_of(version) if version else None
    if version is None or copy is None:
        raise Http404
    try:
        first, last = parse_bars(request.POST.get("bars", ""), copy.outline)
        overrules.place_overrule(
            row=row, by=request.user, version=version, first_bar=first, last_bar=last,
            movement=movement_of(first, copy.outline),
        )  # fmt: skip
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(
            request, _("Your word stands everywhere now; statements on it are compared again.")
        )
    return redirect("score", score.public_id)


@require_http_methods(["GET", "POST"])
@tutor_required
def withdraw_overrule(request: SignedRequest, overrule_id: uuid.UUID) -> HttpResponse:
    row = get_object_or_404(
        Overrule.objects.filter(version__score__tutor=request.user), public_id=overrule_id
    )
    if request.method == "GET":
        return redirect("score", row.version.score.public_id)
    overrules.withdraw(row=row, by=request.user)
    messages.success(request, _("The computed reading stands again."))
    return redirect("score", row.version.score.public_id)
