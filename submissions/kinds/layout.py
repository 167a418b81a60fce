"""The page before any note: who stands on it, how it is to be read."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import KindForm, PartsField, split_names

FACTS = ("instrument", "transposition", "clef", "players")
CLEFS = [
    ("", _("I leave that open")),
    ("treble", _("treble clef")),
    ("alto", _("alto clef")),
    ("tenor", _("tenor clef")),
    ("bass", _("bass clef")),
]


class LayoutForm(KindForm):
    parts = PartsField(label=_("Part"), required=False)
    instrument = forms.CharField(label=_("Instrument"), max_length=60, required=False)
    transposition = forms.IntegerField(
        label=_("Sounds so many semitones from what is written"), min_value=-36, max_value=36,
        required=False, help_text=_("Minus is lower: horn in F is -7."),
    )  # fmt: skip
    clef = forms.ChoiceField(label=_("Clef"), choices=CLEFS, required=False)
    players = forms.IntegerField(
        label=_("Players on its staff"), min_value=1, max_value=12, required=False
    )
    absent = forms.CharField(
        label=_("Or: instruments that are missing from the page"), max_length=200, required=False
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        said = [data.get(name) for name in FACTS]
        any_fact = any(v not in (None, "") for v in said)
        if not any_fact and not data.get("absent"):
            self.add_error("instrument", _("Say one thing about the page."))
        if any_fact and not data.get("parts"):
            self.add_error("parts", _("Of which part?"))
        return data

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim: dict[str, Any] = {"parts": data["parts"]}
        for name in FACTS:
            if data[name] not in (None, ""):
                claim[name] = data[name]
        if data["absent"]:
            claim["absent"] = split_names(data["absent"])
        return claim
