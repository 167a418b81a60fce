"""One-click sign-in. Exists only while DEMO is on."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth import login
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_POST

from courses.models import User


def _demo_people() -> list[User]:
    return list(User.objects.filter(is_active=True, is_staff=False).order_by("-is_tutor", "pk"))


@require_GET
def doors(request: HttpRequest) -> HttpResponse:
    if not settings.DEMO:
        raise Http404
    return render(request, "courses/demo_doors.html", {"people": _demo_people()})


@require_POST
def enter(request: HttpRequest, username: str) -> HttpResponse:
    if not settings.DEMO:
        raise Http404
    user = get_object_or_404(User, username=username, is_staff=False, is_superuser=False)
    login(request, user, backend="django.contrib.auth.backends.ModelBackend")
    return redirect("desk")
