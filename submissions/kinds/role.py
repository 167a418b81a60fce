"""A part's job."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import KindForm, NegatedMixin, PartsField

ROLES = [
    ("melody", _("melody: what you would sing")),
    ("countermelody", _("countermelody: a second tune")),
    ("answer", _("answer or echo")),
    ("bass line", _("bass line")),
    ("held harmony", _("held harmony")),
    ("moving harmony", _("moving harmony")),
    ("pulse", _("pulse: its point is time")),
    ("pedal", _("pedal: held through changing harmony")),
    ("punctuation", _("punctuation: accents, cadences")),
    ("figuration", _("figuration around a line")),
]


class RoleForm(NegatedMixin, KindForm):
    parts = PartsField(label=_("Parts"))
    role = forms.ChoiceField(label=_("Their job"), choices=ROLES)
    field_order = ("parts", "role", "negated")

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim = {"parts": data["parts"], "role": data["role"]}
        return {**claim, "negated": True} if data["negated"] else claim
