"""A note that is held while the harmony changes."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from analysis.engine.claims.fields import read_pitch
from submissions.kinds.base import KindForm, NegatedMixin, PartsField


class PedalForm(NegatedMixin, KindForm):
    parts = PartsField(label=_("Parts"))
    pitch = forms.CharField(
        label=_("hold or repeat the note"), max_length=12,
        help_text=_("As it sounds: Eb, or Eb3 if you know the octave."),
    )  # fmt: skip
    field_order = ("parts", "pitch", "negated")

    def clean_pitch(self) -> str:
        text = str(self.cleaned_data["pitch"]).strip()
        if read_pitch(text) is None:
            raise forms.ValidationError(_("Write a note name such as Eb."))
        return text

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim = {"parts": data["parts"], "pitch": data["pitch"]}
        return {**claim, "negated": True} if data["negated"] else claim
