"""Which family, or part, a part goes with."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import KindForm, NegatedMixin, PartsField, on_both_sides

WAYS = [
    ("pitch", _("by its notes, at whatever octave")),
    ("rhythm", _("by its rhythm, on notes of its own")),
    ("role", _("by its job")),
]


class SidesWithForm(NegatedMixin, KindForm):
    parts = PartsField(label=_("Parts"))
    side = PartsField(
        label=_("go with"),
        help_text=_("A family, such as “strings”, or a part, such as “violoncello”."),
    )
    by = forms.ChoiceField(label=_("How one sees it"), choices=WAYS)
    field_order = ("parts", "side", "by", "negated")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        side = data.get("side") or []
        if len(side) > 1:
            self.add_error("side", _("Name one side: a family or a part."))
        if on_both_sides(data.get("parts") or [], side):
            self.add_error("side", _("A part takes no side with itself. Name another one."))
        return data

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim = {"parts": data["parts"], "side": data["side"][0], "by": data["by"]}
        return {**claim, "negated": True} if data["negated"] else claim
