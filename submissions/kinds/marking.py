"""What stands over a part, or the register it plays in."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import KindForm, NegatedMixin, PartsField

REGISTERS = [
    ("", _("I say nothing of it")),
    ("low", _("low")),
    ("middle", _("middle")),
    ("high", _("high")),
]


class MarkingForm(NegatedMixin, KindForm):
    parts = PartsField(label=_("Parts"))
    mark = forms.CharField(
        label=_("What is marked"), max_length=60, required=False,
        help_text=_("Such as “con sord.”, “pizz.”, “div.”, “a 2”, “solo” or “p”."),
    )  # fmt: skip
    register = forms.ChoiceField(label=_("Or their register"), choices=REGISTERS, required=False)
    field_order = ("parts", "mark", "register", "negated")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not str(data.get("mark") or "").strip() and not data.get("register"):
            self.add_error("mark", _("Name a mark, or choose a register."))
        return data

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim: dict[str, Any] = {"parts": data["parts"]}
        claim |= {name: data[name].strip() for name in ("mark", "register") if data[name].strip()}
        return {**claim, "negated": True} if data["negated"] else claim
