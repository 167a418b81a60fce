"""How a reader wants pages to look: kept with the account, and in the browser when signed out.

The server writes the choices onto the page's root element, so that they hold before anything
is painted and no script has to run for it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from courses.models import User

COOKIE = "reader"
_YEAR = 365 * 24 * 3600

Choices = dict[str, str | Promise]

#: Choice -> its label and its values; the first value is the usual one and is not kept.
CHOICES: dict[str, tuple[str | Promise, Choices]] = {
    "theme": (_("Paper"), {
        "": _("as the device has it"), "light": _("light"), "dark": _("dark"),
        "print": _("black on white"),
    }),
    "type": (_("Typeface"), {"": _("as printed"), "clear": _("clear, with more room (dyslexia)")}),
    "staff": (_("Notation"), {"": _("usual"), "large": _("large"), "print": _("large print")}),
    "palette": (_("Hues of layers"), {
        "": _("for all eyes"), "red-green": _("for red-green blindness"),
        "ink": _("no hue, patterns alone"),
    }),
}  # fmt: skip


def sensible(wanted: Mapping[str, Any]) -> dict[str, str]:
    """Those of the wishes that there are; everything else is left out."""
    return {
        name: str(wanted[name])
        for name, (_label, values) in CHOICES.items()
        if wanted.get(name) and str(wanted[name]) in values
    }


def choices_of(request: HttpRequest) -> dict[str, str]:
    """The account's, else this browser's."""
    user = getattr(request, "user", None)
    if user is not None and user.is_authenticated and user.reader:
        return sensible(user.reader)
    try:
        kept = json.loads(request.COOKIES.get(COOKIE, "{}"))
    except ValueError:
        return {}
    return sensible(kept) if isinstance(kept, dict) else {}


def keep(request: HttpRequest, response: HttpResponse, wanted: Mapping[str, Any]) -> None:
    """Keep with the account of whoever is signed in, and in this browser."""
    chosen = sensible(wanted)
    if request.user.is_authenticated:
        # A choice of everything as usual is a choice, too: the browser's must not come through.
        User.objects.filter(pk=request.user.pk).update(reader=chosen or {"chosen": "usual"})
    response.set_cookie(
        COOKIE, json.dumps(chosen, separators=(",", ":")), max_age=_YEAR, samesite="Lax",
        secure=request.is_secure(), httponly=True,
    )  # fmt: skip
