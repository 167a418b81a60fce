"""The only doors to objects for views: what one may not reach answers 404."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from csp.decorators import csp_update
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.cache import cache_control

from courses.models import Course, Enrolment, Invitation, Score, ScoreVersion, User

View = Callable[..., HttpResponse]

#: For views whose answer changes with stage and release: no cache may keep it.
NOT_KEPT = cache_control(private=True, no_store=True)


#: Pages that play sound: the synthesiser compiles its decoder; nothing else may.
with_sound = csp_update({"script-src": ["'wasm-unsafe-eval'"]})


class SignedRequest(HttpRequest):
    """A request behind `login_required` or `tutor_required`: its user is a person."""

    user: User


def tutor_required(view: View) -> View:
    """For pages of the tutor's desk: others are told nothing exists here."""

    @wraps(view)
    @login_required
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not request.user.is_tutor:  # type: ignore[union-attr]
            raise Http404
        return view(request, *args, **kwargs)

    return guarded


def own_course(user: User, public_id: object) -> Course:
    """A course the user teaches."""
    return get_object_or_404(Course.objects.taught_by(user), public_id=public_id)


def visible_course(user: User, public_id: object) -> Course:
    return get_object_or_404(Course.objects.visible_to(user), public_id=public_id)


def own_score(user: User, public_id: object) -> Score:
    """A score of the user's own library."""
    return get_object_or_404(
        Score.objects.owned_by(user).select_related("work"), public_id=public_id
    )


def readable_score(user: User, public_id: object) -> Score:
    return get_object_or_404(
        Score.objects.readable_by(user).select_related("work"), public_id=public_id
    )


def own_version(user: User, public_id: object) -> ScoreVersion:
    return get_object_or_404(
        ScoreVersion.objects.filter(score__tutor=user).select_related("score__work"),
        public_id=public_id,
    )


def own_enrolment(user: User, public_id: object) -> Enrolment:
    """An enrolment in a course the user teaches."""
    return get_object_or_404(
        Enrolment.objects.filter(course__tutor=user).select_related("user", "course"),
        public_id=public_id,
    )


def live_invitation(public_id: object) -> Invitation:
    return get_object_or_404(Invitation, public_id=public_id)
