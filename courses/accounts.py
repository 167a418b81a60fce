"""Sign-up and sign-in: tutors sign up themselves; students enter by an invitation word."""

from __future__ import annotations

from allauth.account.adapter import DefaultAccountAdapter
from django import forms
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from courses.models import User


class AccountAdapter(DefaultAccountAdapter):
    """Keeps the display name; sends links, never contents."""


class TutorSignupForm(forms.Form):
    """Extra field of the sign-up page; allauth adds user name, e-mail and password."""

    display_name = forms.CharField(label=_("Name shown in your courses"), max_length=80)

    def signup(self, request: HttpRequest, user: User) -> None:
        user.display_name = self.cleaned_data["display_name"]
        user.is_tutor = True
        user.save(update_fields=["display_name", "is_tutor"])
