"""A part that stands lower on the page sounds above another."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import KindForm, NegatedMixin, PartsField, on_both_sides


class CrossingForm(NegatedMixin, KindForm):
    lower = PartsField(label=_("The part lower on the page"))
    upper = PartsField(label=_("sounds above"), help_text="")
    field_order = ("lower", "upper", "negated")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if on_both_sides(data.get("lower") or [], data.get("upper") or []):
            self.add_error("upper", _("A part cannot cross itself. Name another one."))
        return data

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim = {"upper": data["upper"][0], "lower": data["lower"][0], "parts": []}
        return {**claim, "negated": True} if data["negated"] else claim
