"""The local key."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from analysis.engine.errors import EngineError
from analysis.engine.pitch import parse_key
from submissions.kinds.base import KindForm, NegatedMixin


class KeyForm(NegatedMixin, KindForm):
    key = forms.CharField(
        label=_("Key"), max_length=30, help_text=_("Such as “E minor” or “B flat major”.")
    )
    how = forms.ChoiceField(
        label=_("How"),
        choices=[("region", _("we are in it")), ("arrives", _("it arrives here"))],
    )
    field_order = ("key", "how", "negated")

    def clean_key(self) -> str:
        text = str(self.cleaned_data["key"]).strip()
        try:
            parse_key(text)
        except EngineError:
            raise forms.ValidationError(_("Write a key such as “E minor”.")) from None
        return text

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim = {"key": data["key"], "how": data["how"], "parts": []}
        return {**claim, "negated": True} if data["negated"] else claim
