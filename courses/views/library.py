"""The library: works, scores, uploads with their rights."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from courses.access import SignedRequest, own_score, tutor_required
from courses.forms import CorrectedFileForm, RightsForm, UploadForm, initial_rights
from courses.models import Score
from courses.services import library

ENDS_SOON = 30  # days before the end of use in which the library says so


@require_GET
@tutor_required
def library_page(request: SignedRequest) -> HttpResponse:
    scores = list(
        Score.objects.owned_by(request.user).with_latest().with_end_of_use().select_related("work")
    )
    today = timezone.localdate()
    for score in scores:
        ends = score.end_of_use
        score.use_over = ends is not None and ends < today
        score.use_ends_soon = ends is not None and 0 <= (ends - today).days <= ENDS_SOON
    return render(request, "courses/library.html", {"scores": scores, "here": "library"})


@require_http_methods(["GET", "POST"])
@tutor_required
def upload(request: SignedRequest) -> HttpResponse:
    """Upload with rights statement; a refused form keeps its entries."""
    bound = request.method == "POST"
    form = UploadForm(request.POST or None, request.FILES or None)
    rights = RightsForm(request.POST or None, initial=initial_rights(request.user))
    if bound and form.is_valid() and rights.is_valid():
        data = form.cleaned_data
        try:
            version = library.upload_score(
                tutor=request.user,
                work_title=data["work_title"],
                title=data["title"],
                order=data["order"],
                file=data["file"],
                rights=rights.cleaned_data,
            )
        except ValidationError as error:
            form.add_error(None if hasattr(error, "error_dict") else "file", error)
        else:
            return redirect("score", version.score.public_id)
    page = {"form": form, "rights": rights, "here": "library"}
    return render(request, "courses/upload.html", page, status=422 if bound else 200)


@require_POST
@tutor_required
def upload_corrected(request: SignedRequest, score_id: str) -> HttpResponse:
    score = own_score(request.user, score_id)
    form = CorrectedFileForm(request.POST, request.FILES)
    if form.is_valid():
        try:
            library.upload_version(score=score, by=request.user, file=form.cleaned_data["file"])
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        else:
            messages.success(request, _("The corrected file is being read."))
    return redirect("score", score.public_id)


@require_POST
@tutor_required
def take_down(request: SignedRequest, score_id: str) -> HttpResponse:
    score = own_score(request.user, score_id)
    library.take_down(score=score, by=request.user)
    messages.success(request, _("The score is taken down: nobody but you reaches it now."))
    return redirect("library")
