"""Forms of people, courses and the library."""

from __future__ import annotations

from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from analysis.engine.gate.names import OFFERED
from courses.models import Course, Rights, User

ZONES = sorted(z for z in available_timezones() if "/" in z or z == "UTC")


class CourseForm(forms.ModelForm):  # type: ignore[type-arg]
    zone = forms.ChoiceField(label=_("Time zone"), choices=[(z, z) for z in ZONES], initial="UTC")

    class Meta:
        model = Course
        fields = ["title", "about", "form", "starts_on", "ends_on", "zone"]
        labels = {
            "title": _("Title"),
            "about": _("What the course is about"),
            "form": _("Kind of course"),
            "starts_on": _("Begins"),
            "ends_on": _("Ends"),
        }
        widgets = {
            "about": forms.Textarea(attrs={"rows": 3}),
            "starts_on": forms.DateInput(attrs={"type": "date"}),
            "ends_on": forms.DateInput(attrs={"type": "date"}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk is None and "zone" not in self.initial:
            self.fields["zone"].widget.attrs["data-here"] = "1"  # the browser's own zone is chosen

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        starts, ends = data.get("starts_on"), data.get("ends_on")
        if data.get("form") == Course.Form.DATED and not (starts and ends):
            self.add_error("ends_on", _("A term course has a first and a last day."))
        if starts and ends and ends < starts:
            self.add_error("ends_on", _("The course ends before it begins."))
        return data


class RightsForm(forms.ModelForm):  # type: ignore[type-arg]
    """The rights statement. Its words come back unchanged when something is missing."""

    entitled = forms.BooleanField(
        label=_("I am entitled to use this file this way and will remove it if not."),
        error_messages={"required": _("Without this statement the file cannot be taken.")},
    )

    class Meta:
        model = Rights
        fields = ["composer", "composer_dates", "editor", "editor_dates", "edition",
                  "edition_year", "source", "licence", "basis", "country", "assessed_by",
                  "assessed_on", "ends_on", "entitled"]  # fmt: skip
        labels = {
            "composer": _("Composer"),
            "composer_dates": _("Composer’s dates"),
            "editor": _("Editor or arranger"),
            "editor_dates": _("Their dates"),
            "edition": _("Publisher or edition"),
            "edition_year": _("Year"),
            "source": _("Where the file comes from"),
            "licence": _("Licence of the file"),
            "basis": _("Basis of use"),
            "country": _("Country assessed"),
            "assessed_by": _("Assessed by"),
            "assessed_on": _("On"),
            "ends_on": _("Use ends on (in-copyright material)"),
        }
        widgets = {
            "assessed_on": forms.DateInput(attrs={"type": "date"}),
            "ends_on": forms.DateInput(attrs={"type": "date"}),
        }


#: Endings the browser offers; what a file is, its content decides.
SCORE_FILES = ",".join(f".{ending}" for ending in OFFERED)


class UploadForm(forms.Form):
    """Which file, of which work."""

    work_title = forms.CharField(label=_("Work"), max_length=150)
    title = forms.CharField(
        label=_("Movement or number"), max_length=150, help_text=_("For example: II. Adagio")
    )
    order = forms.IntegerField(label=_("Its place in the work"), min_value=1, max_value=99,
                               initial=1)  # fmt: skip
    file = forms.FileField(
        label=_("File"),
        help_text=_(
            "MusicXML or MXL (best), MEI, Humdrum kern or MIDI, at most 10 MB. A MIDI file tells "
            "keys and times only: note names and parts are guessed, for you to confirm."
        ),
        widget=forms.FileInput(attrs={"accept": SCORE_FILES}),
        error_messages={"required": _("Choose the file (again, if you have just mended a field).")},
    )


class CorrectedFileForm(forms.Form):
    file = forms.FileField(
        label=_("Corrected file"),
        widget=forms.FileInput(attrs={"accept": SCORE_FILES}),
    )


class WordForm(forms.Form):
    word = forms.CharField(label=_("Invitation word"), max_length=80)


class JoinForm(forms.Form):
    """For somebody who has an account already."""

    age_band = forms.ChoiceField(
        label=_("Age"),
        choices=[("", _("choose")), *(c for c in User.AgeBand.choices if c[0] != "unknown")],
        error_messages={"required": _("Choose your age band.")},
    )
    agreed = forms.BooleanField(
        label=_("I have read what is kept about me here, and agree."),
        error_messages={"required": _("Say that you agree before you join.")},
    )


class AgreeForm(JoinForm):
    """For somebody whose age band is known from another course: not asked again."""

    age_band = None  # type: ignore[assignment]


class EnterForm(JoinForm):
    """For somebody new: a name instead of an e-mail address is enough."""

    display_name = forms.CharField(label=_("Name shown in the course (a nickname will do)"),
                                   max_length=80)  # fmt: skip
    username = forms.RegexField(
        r"^[\w.-]{3,40}$",
        label=_("Name for signing in"),
        error_messages={"invalid": _("3 to 40 letters, figures, dots, hyphens.")},
    )
    email = forms.EmailField(label=_("E-mail (only to get a new password)"), required=False)
    password = forms.CharField(label=_("Password"), widget=forms.PasswordInput(render_value=False))
    field_order = ("display_name", "username", "password", "email", "age_band", "agreed")

    def clean_username(self) -> str:
        name = str(self.cleaned_data["username"])
        if User.objects.filter(username__iexact=name).exists():
            raise forms.ValidationError(_("This name is taken; try another."))
        return name

    def clean_email(self) -> str:
        email = str(self.cleaned_data.get("email") or "")
        if email and User.objects.filter(email__iexact=email).exists():
            raise forms.ValidationError(_("Use another address, or sign in first."))
        return email

    def clean_password(self) -> str:
        password = str(self.cleaned_data["password"])
        validate_password(password)
        return password


def initial_rights(user: User) -> dict[str, Any]:
    return {"assessed_by": user.display_name, "assessed_on": timezone.localdate()}
