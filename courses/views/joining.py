"""Entering a course with an invitation word."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.contrib.auth import login
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from courses.forms import AgreeForm, EnterForm, JoinForm, WordForm
from courses.models import Invitation, User
from courses.services import joining

_BACKEND = "django.contrib.auth.backends.ModelBackend"
_IN_SESSION = "invitation"


def _who(request: HttpRequest) -> str:
    if request.user.is_authenticated:
        return f"user-{request.user.pk}"
    return f"address-{request.META.get('REMOTE_ADDR', '')}"


@require_http_methods(["GET", "POST"])
def give_word(request: HttpRequest) -> HttpResponse:
    form = WordForm(request.POST or None)
    if form.is_valid():
        try:
            found = joining.find_invitation(form.cleaned_data["word"], who=_who(request))
        except ValidationError as error:
            form.add_error("word", error)
        else:
            request.session[_IN_SESSION] = str(found.public_id)
            return redirect("join-course")
    return render(request, "courses/word.html", {"form": form, "here": "courses"})


@require_http_methods(["GET", "POST"])
def join_course(request: HttpRequest) -> HttpResponse:
    """Consent, and an account if there is none; then wait for the tutor's yes."""
    found = (
        Invitation.objects.select_related("course__tutor")
        .filter(public_id=request.session.get(_IN_SESSION) or uuid.UUID(int=0), revoked_at=None)
        .first()
    )
    if found is None:
        return redirect("give-word")
    known = request.user.is_authenticated
    said = getattr(request.user, "age_band", "")
    if not known:
        ask: type[JoinForm] = EnterForm
    else:
        ask = JoinForm if said == User.AgeBand.UNKNOWN else AgreeForm
    form = ask(request.POST or None)
    if form.is_valid():
        data = form.cleaned_data
        try:
            with transaction.atomic():
                user = request.user if isinstance(request.user, User) else _new_student(data)
                joining.ask_in(
                    user=user,
                    invitation=found,
                    age_band=data.get("age_band") or said,
                    agreed=data["agreed"],
                )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            del request.session[_IN_SESSION]
            if not known:
                login(request, user, backend=_BACKEND)
            messages.success(request, _("Your tutor has been asked. You are in after the yes."))
            return redirect("desk")
    page = {"form": form, "course": found.course, "known": known, "here": "courses"}
    return render(request, "courses/join.html", page)


def _new_student(data: dict[str, str]) -> User:
    return User.objects.create_user(
        username=data["username"],
        email=data["email"],
        password=data["password"],
        display_name=data["display_name"],
    )
