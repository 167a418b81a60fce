"""The form with which a tutor attaches a recording."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.utils.translation import gettext_lazy as _

from courses.models import Recording
from courses.recordings import RECORDING_FILES


class RecordingForm(forms.ModelForm):  # type: ignore[type-arg]
    """File, what it is, and whose. Its words come back unchanged when something is missing."""

    recorded = forms.FileField(
        label=_("File"),
        widget=forms.FileInput(attrs={"accept": RECORDING_FILES}),
        error_messages={"required": _("Choose the file (again, if you have just mended a field).")},
    )
    entitled = forms.BooleanField(
        label=_("I am entitled to use this recording this way and will remove it if not."),
        error_messages={"required": _("Without this statement the recording cannot be taken.")},
    )
    field_order = ("recorded", "name", "performers")

    class Meta:
        model = Recording
        fields = ["name", "performers", "source", "licence", "basis", "country", "assessed_by",
                  "assessed_on", "ends_on", "entitled"]  # fmt: skip
        labels = {
            "name": _("Name"),
            "performers": _("Who plays"),
            "source": _("Where the recording comes from"),
            "licence": _("Licence of the recording"),
            "basis": _("Basis of use"),
            "country": _("Country assessed"),
            "assessed_by": _("Assessed by"),
            "assessed_on": _("On"),
            "ends_on": _("Use ends on (in-copyright material)"),
        }
        help_texts = {
            "name": _("As your students choose it. For example: The school orchestra, in spring"),
            "performers": _("Orchestra, conductor, year: what one should know of it."),
        }
        widgets = {
            "assessed_on": forms.DateInput(attrs={"type": "date"}),
            "ends_on": forms.DateInput(attrs={"type": "date"}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["recorded"].help_text = _(
            "MP3, M4A, AAC, Ogg, Opus, FLAC or WAV, at most {limit} MB."
        ).format(limit=settings.RECORDING_MAX_BYTES // 2**20)

    def statement(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in self.Meta.fields}
