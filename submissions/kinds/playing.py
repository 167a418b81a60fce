"""Who plays, and who does not."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import KindForm, NegatedMixin, PartsField

MODES = [
    ("play", _("play here")),
    ("rest", _("rest here")),
    ("only", _("are the only ones who play")),
    ("tutti", _("everyone plays (tutti)")),
    ("silence", _("nobody plays")),
]


class PlayingForm(NegatedMixin, KindForm):
    parts = PartsField(label=_("Parts"), required=False)
    mode = forms.ChoiceField(label=_("What they do"), choices=MODES)
    unique = forms.BooleanField(label=_("the only such place"), required=False)
    field_order = ("parts", "mode", "unique", "negated")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("mode") in {"play", "rest", "only"} and not data.get("parts"):
            self.add_error("parts", _("Who? Name at least one part."))
        return data

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        whole = data["mode"] in {"tutti", "silence"}
        claim: dict[str, Any] = {"parts": [] if whole else data["parts"], "mode": data["mode"]}
        for name in ("unique", "negated"):
            if data[name]:
                claim[name] = True
        return claim
