"""What natural brass can play on its crook."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from analysis.engine.claims.fields import read_pitch
from submissions.kinds.base import KindForm, PartsField, split_names


class OpenTonesForm(KindForm):
    parts = PartsField(label=_("Horn or trumpet"))
    crook = forms.CharField(label=_("Its crook"), max_length=20, help_text=_("Such as Eb or D."))
    says = forms.ChoiceField(
        label=_("These notes"),
        choices=[("pitches", _("are open tones")), ("missing", _("it has not got"))],
    )
    notes = forms.CharField(
        label=_("Notes, as they sound"), max_length=80, help_text=_("Such as “Ab” or “Eb4, Bb4”.")
    )

    def clean_notes(self) -> list[str]:
        found = split_names(str(self.cleaned_data["notes"]))
        for name in found:
            if read_pitch(name) is None:
                raise forms.ValidationError(_("“{n}” is no note name.").format(n=name))
        return found

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        return {"parts": data["parts"], "crook": data["crook"].strip(), data["says"]: data["notes"]}
