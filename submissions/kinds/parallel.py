"""Two lines in thirds, sixths or tenths."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import KindForm, NegatedMixin, PartsField

INTERVALS = [("third", _("thirds")), ("sixth", _("sixths")), ("tenth", _("tenths"))]


class ParallelForm(NegatedMixin, KindForm):
    parts = PartsField(label=_("Parts"))
    with_ = PartsField(label=_("go in parallel with"), help_text="")
    interval = forms.ChoiceField(label=_("In"), choices=INTERVALS)
    field_order = ("parts", "with_", "interval", "negated")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if self.names_twice(data.get("parts"), data.get("with_")):
            self.add_error("with_", _("The same part stands on both sides. Name the other one."))
        return data

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim = {"parts": data["parts"], "with": data["with_"], "interval": data["interval"]}
        return {**claim, "negated": True} if data["negated"] else claim
