"""Two places, and who is added or left out in the second."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from analysis.engine import places
from analysis.engine.errors import ClaimNotUnderstood
from submissions.kinds.base import KindForm, NegatedMixin, PartsField
from submissions.kinds.points import span_as_typed

_BARS = re.compile(
    r"^\s*(?:b(?:ars?)?\.?\s*)?(\w+)(?:/(\d+))?\s*(?:(?:-|–|—|to)\s*(\w+)(?:/(\d+))?)?\s*$"
)


class ComparisonForm(NegatedMixin, KindForm):
    bars2 = forms.CharField(
        label=_("The other place, bars"), max_length=40,
        help_text=_("Such as 41-48, in the same movement. The first place stands above."),
    )  # fmt: skip
    added = PartsField(label=_("New in the other place"), required=False)
    left = PartsField(label=_("Left out in the other place"), required=False, help_text="")
    field_order = ("bars2", "added", "left", "negated")

    def clean_bars2(self) -> Any:
        found = _BARS.match(str(self.cleaned_data["bars2"]))
        if found is None:
            raise forms.ValidationError(_("Write bars such as 41-48."))
        first, nth, last, last_nth = found.groups()
        place: Any = [first, last] if last else [first]
        if nth or last_nth:
            start = {"bar": first, "nth": int(nth or 1)}
            place = {"from": start, "to": {"bar": last, "nth": int(last_nth or 1)}}
            place = place if last else {"from": start, "to": start}
        table = self.fields["added"].table  # type: ignore[attr-defined]
        try:
            if table is not None:
                places.resolve(place, table)
        except ClaimNotUnderstood as question:
            raise forms.ValidationError(str(question)) from None
        return place

    @staticmethod
    def typed(value: dict[str, Any], outline: dict[str, Any]) -> dict[str, str]:
        """The other place as one writes it: "41-48"."""
        return {"bars2": span_as_typed(value["bars2"])} if value.get("bars2") else {}

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim = {"parts": [], **{name: data[name] for name in ("bars2", "added", "left")}}
        return {**claim, "negated": True} if data["negated"] else claim
