"""Only some notes of a line are supported."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import KindForm, PartsField


class ReinforcementForm(KindForm):
    parts = PartsField(label=_("Parts"))
    with_ = PartsField(label=_("support notes of"), help_text="")
    beats = forms.CharField(
        label=_("On which beats"), max_length=40, help_text=_("Such as “1” or “1, 3”.")
    )
    by = forms.ChoiceField(
        label=_("By"), choices=[("pitch", _("the same note")), ("accent", _("the attack alone"))]
    )

    def clean_beats(self) -> list[float]:
        try:
            beats = [float(b) for b in self.cleaned_data["beats"].replace(";", ",").split(",")]
        except ValueError:
            raise forms.ValidationError(_("Beats are numbers, such as 1, 3.")) from None
        if any(not 1 <= b < 32 for b in beats):
            raise forms.ValidationError(_("Beats are counted from 1."))
        return beats

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        return {
            "parts": data["parts"], "with": data["with_"], "beats": data["beats"],
            "by": data["by"],
        }  # fmt: skip
