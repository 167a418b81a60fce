"""A model restated at another height, or a chain of intervals."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import KindForm, NegatedMixin, PartsField
from submissions.kinds.points import (
    POINT_HELP,
    MovesField,
    PointField,
    moves_as_typed,
    point_as_typed,
)

STEPS = [
    ("", _("I leave that open")),
    ("-1", _("a step lower")),
    ("-2", _("a third lower")),
    ("-3", _("a fourth lower")),
    ("-4", _("a fifth lower")),
    ("-5", _("a sixth lower")),
    ("1", _("a step higher")),
    ("2", _("a third higher")),
    ("3", _("a fourth higher")),
    ("4", _("a fifth higher")),
    ("5", _("a sixth higher")),
]


class SequenceForm(NegatedMixin, KindForm):
    parts = PartsField(label=_("Parts"))
    statements = forms.IntegerField(
        label=_("How often the model is stated"), min_value=2, max_value=99, required=False,
        help_text=_("The first time counts."),
    )  # fmt: skip
    step = forms.TypedChoiceField(
        label=_("Each time"), choices=STEPS, coerce=int, empty_value=None, required=False
    )
    chain = MovesField(
        label=_("Or, of a chain: its moves"), max_length=300, required=False,
        help_text=_("Such as “fifth down, fourth up, fifth down, fourth up”."),
    )  # fmt: skip
    breaks = PointField(label=_("Where it breaks off"), required=False, help_text=POINT_HELP)
    field_order = ("parts", "statements", "step", "chain", "breaks", "negated")

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim: dict[str, Any] = {"parts": data["parts"]}
        for name in ("statements", "step", "chain"):
            if data[name] not in (None, "", []):
                claim[name] = data[name]
        if data["breaks"]:
            claim["breaks-at"] = data["breaks"]
        return {**claim, "negated": True} if data["negated"] else claim

    @staticmethod
    def typed(value: dict[str, Any], outline: dict[str, Any]) -> dict[str, str]:
        found = {}
        if value.get("chain"):
            found["chain"] = moves_as_typed(value["chain"])
        if value.get("breaks-at"):
            found["breaks"] = point_as_typed(value["breaks-at"])
        return found
