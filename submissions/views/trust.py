"""How far to trust the flags: rulings against flags, with the statements behind each number."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from courses.access import SignedRequest, own_course, tutor_required
from courses.ids import as_id
from courses.models import Course
from submissions.causes import in_words
from submissions.kinds import KINDS
from submissions.models import Flag
from submissions.trust import (
    ENOUGH,
    Choice,
    corrected_findings,
    statements_behind,
    trust_of,
)

#: What the list can be narrowed to, besides a flag.
RULED = ("overturned", "confirmed")


@require_GET
@tutor_required
def trust(request: SignedRequest) -> HttpResponse:
    """Over all the tutor's courses, or one (`course`); the list by kind, cause, flag, ruling."""
    asked = request.GET
    course = own_course(request.user, as_id(asked["course"])) if asked.get("course") else None
    choice = Choice(
        course=course,
        kind=asked.get("kind", "") if asked.get("kind") in KINDS else "",
        cause=asked.get("cause"),
        flag=asked.get("flag", "") if asked.get("flag") in Flag.values else "",
        ruled=asked.get("ruled", "") if asked.get("ruled") in {*RULED, *Flag.values} else "",
    )
    narrowed = bool(choice.kind or choice.flag or choice.ruled or choice.cause is not None)
    shown = choice if narrowed else Choice(course=course, ruled="overturned")
    page = asked.get("page", "1")
    context: dict[str, Any] = {
        "trust": trust_of(request.user, course),
        "corrected": corrected_findings(request.user, course),
        "course": course,
        "courses": Course.objects.taught_by(request.user).order_by("title", "pk"),
        "flags": Flag.choices,
        "enough": ENOUGH,
        "choice": shown,
        "narrowed": narrowed,
        "chosen": _in_words(shown),
        "base": urlencode({"course": course.public_id}) + "&" if course else "",
        "same_list": _same_list(request),
        "list": statements_behind(request.user, shown, int(page) if page.isdecimal() else 1),
        "here": "courses",
    }
    return render(request, "submissions/trust.html", context)


def _in_words(choice: Choice) -> list[tuple[str, str]]:
    """The choice for the heading of the list: (sort, word)."""
    told = []
    if choice.kind:
        told.append(("kind", str(KINDS[choice.kind].label)))
    if choice.cause is not None:
        told.append(("cause", in_words(choice.cause)))
    if choice.flag:
        told.append(("flag", str(Flag(choice.flag).label)))
    if choice.ruled in Flag.values:
        told.append(("ruled", str(Flag(choice.ruled).label)))
    return told


def _same_list(request: SignedRequest) -> str:
    """The query of this list, to be followed by a page number."""
    return urlencode([(k, v) for k, v in request.GET.items() if k != "page"])
