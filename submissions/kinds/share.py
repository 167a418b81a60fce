"""Who predominates."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import KindForm, NegatedMixin, PartsField

MEASURES = [
    ("bars", _("the bars: who plays in most of them")),
    ("notes", _("the notes: who has most of them")),
    ("melody", _("the tune: who has it most often")),
]


class ShareForm(NegatedMixin, KindForm):
    predominant = PartsField(
        label=_("Who predominates"), help_text=_("A family such as “strings”, or one part.")
    )
    of = forms.ChoiceField(label=_("By"), choices=MEASURES)
    field_order = ("predominant", "of", "negated")

    def clean_predominant(self) -> list[Any]:
        found: list[Any] = self.cleaned_data["predominant"]
        if len(found) > 1:
            raise forms.ValidationError(_("Name one family, or one part."))
        return found

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim = {"parts": [], "predominant": data["predominant"][0], "of": data["of"]}
        return {**claim, "negated": True} if data["negated"] else claim
