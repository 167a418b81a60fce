"""The highest or lowest note of a part."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from analysis.engine.claims.fields import read_pitch
from submissions.kinds.base import KindForm, PartsField


class RangeForm(KindForm):
    parts = PartsField(label=_("Part"))
    extreme = forms.ChoiceField(
        label=_("Has its"), choices=[("highest", _("highest note")), ("lowest", _("lowest note"))]
    )
    pitch = forms.CharField(
        label=_("Pitch, as it sounds"), max_length=12, help_text=_("Such as Eb5; C4 is middle C.")
    )
    within = forms.ChoiceField(
        label=_("Of"),
        choices=[("movement", _("the movement")), ("passage", _("these bars")),
                 ("work", _("the work"))],
    )  # fmt: skip

    def clean_pitch(self) -> str:
        text = str(self.cleaned_data["pitch"]).strip()
        if read_pitch(text) is None:
            raise forms.ValidationError(_("Write a pitch such as Eb5."))
        return text

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        return {name: data[name] for name in ("parts", "extreme", "pitch", "within")}
