"""The keys a passage passes through, in order."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from analysis.engine.errors import EngineError
from analysis.engine.pitch import parse_key
from submissions.kinds.base import KindForm, NegatedMixin


class KeyRouteForm(NegatedMixin, KindForm):
    keys = forms.CharField(
        label=_("Keys, in order"), max_length=200,
        help_text=_("Such as “E flat major, C minor, E flat major”."),
    )  # fmt: skip
    settled = forms.BooleanField(
        required=False, label=_("Only keys in which it settles, none that it touches")
    )
    field_order = ("keys", "settled", "negated")

    def clean_keys(self) -> list[str]:
        text = str(self.cleaned_data["keys"])
        found = [k.strip() for k in re.split(r"[,;>→–]|\bthen\b|\bto\b", text) if k.strip()]
        for name in found:
            try:
                parse_key(name)
            except EngineError:
                said = _("“{n}” is no key. Write keys such as “E minor”, with commas between.")
                raise forms.ValidationError(said.format(n=name)) from None
        return found

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim = {"keys": data["keys"], "touched": not data["settled"], "parts": []}
        return {**claim, "negated": True} if data["negated"] else claim
