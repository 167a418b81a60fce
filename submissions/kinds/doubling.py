"""Which part goes with which, and how far apart."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import (
    APART,
    LEVELS,
    OCTAVES,
    KindForm,
    NegatedMixin,
    PartsField,
)

COVERAGE = [
    ("full", _("the whole line")),
    ("partial", _("some of its notes")),
    ("simplified", _("in a simpler version")),
    ("heterophonic", _("in an ornamented version")),
    ("none", _("nobody doubles it")),
]


class DoublingForm(NegatedMixin, KindForm):
    parts = PartsField(label=_("Parts"))
    with_ = PartsField(label=_("go with"), required=False, help_text="")
    octaves = forms.ChoiceField(
        label=_("How far apart, in sound"), choices=[*OCTAVES, *APART, *LEVELS], required=False
    )
    coverage = forms.ChoiceField(label=_("How much of it"), choices=COVERAGE, initial="full")
    field_order = ("parts", "with_", "octaves", "coverage", "negated")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        levels = str(data.get("octaves", "")).startswith("levels")
        if levels and "parts" in data and len(data["parts"] + data.get("with_", [])) < 2:
            self.add_error("parts", _("Octave levels of whom? Name all the parts."))
        elif levels:
            return data
        if data.get("coverage") != "none" and not data.get("with_") and "with_" in data:
            self.add_error("with_", _("With whom? Name the line they go with."))
        elif data.get("coverage") != "none" and self.names_twice(
            data.get("parts"), data.get("with_")
        ):
            said = _("The same part stands on both sides. Name the other line it goes with.")
            self.add_error("with_", said)
        return data

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim: dict[str, Any] = {"parts": data["parts"], "coverage": data["coverage"]}
        if data["coverage"] == "none":
            return claim
        way, number = _degree(data["octaves"])
        if way == "levels":
            claim |= {"parts": [*data["parts"], *data["with_"]], "levels": number}
        else:
            claim["with"] = data["with_"]
            if number is not None:
                claim["octaves"] = number
            if way == "apart":
                claim["direction"] = False
        return {**claim, "negated": True} if data["negated"] else claim

    @staticmethod
    def typed(value: dict[str, Any], outline: dict[str, Any]) -> dict[str, str]:
        if value.get("levels"):
            return {"octaves": f"levels{value['levels']}"}
        if value.get("octaves") and value.get("direction") is False:
            return {"octaves": f"apart{abs(value['octaves'])}"}
        return {}


def _degree(chosen: str) -> tuple[str, int | None]:
    """ "apart2", "levels3", "-1" or "" as a way and a number."""
    for way in ("apart", "levels"):
        if chosen.startswith(way):
            return way, int(chosen.removeprefix(way))
    return "", int(chosen) if chosen else None
