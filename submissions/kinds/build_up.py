"""Rising tension: what of it rises, and what does not."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import KindForm

#: in the order in which a reader looks
LEGS: dict[str, Any] = {
    "forces": _("The number of parts"),
    "loudness": _("The printed loudness"),
    "height": _("The top"),
    "rhythm": _("The pace of the rhythm"),
    "harmony": _("The press of the harmony"),
}
CHOICES = [
    ("", _("I leave that open")),
    ("by", _("rises")),
    ("without", _("does not rise")),
]


def _leg(label: Any) -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=CHOICES, required=False)


class BuildUpForm(KindForm):
    forces = _leg(LEGS["forces"])
    loudness = _leg(LEGS["loudness"])
    height = _leg(LEGS["height"])
    rhythm = _leg(LEGS["rhythm"])
    harmony = _leg(LEGS["harmony"])
    negated = forms.BooleanField(
        required=False, label=_("I say that it does NOT build up so, or that it thins out")
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not any(data.get(name) == "by" for name in LEGS):
            self.add_error("forces", _("What rises? Choose one of these at least."))
        return data

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim: dict[str, Any] = {"parts": []}
        for said in ("by", "without"):
            claim[said] = [name for name in LEGS if data[name] == said]
        return {**claim, "negated": True} if data["negated"] else claim

    @staticmethod
    def typed(value: dict[str, Any], outline: dict[str, Any]) -> dict[str, str]:
        found = {name: "by" for name in value.get("by", []) if name in LEGS}
        return {**found, **{name: "without" for name in value.get("without", []) if name in LEGS}}
