"""Two places, and who is added or left out in the second."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from analysis.engine import places, said_place
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import ScoreTable
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
        added: PartsField = self.fields["added"]  # type: ignore[assignment]
        table, movement = added.table, added.movement
        typed = str(self.cleaned_data["bars2"])
        found = _BARS.match(typed)
        if found is None and table is not None:
            return _in_words(typed, table, movement)
        if found is None:
            raise forms.ValidationError(_("Write bars such as 41-48."))
        first, nth, last, last_nth = found.groups()
        place: Any = [first, last] if last else [first]
        if nth or last_nth:
            start = {"bar": first, "nth": int(nth or 1)}
            place = {"from": start, "to": {"bar": last, "nth": int(last_nth or 1)}}
            place = place if last else {"from": start, "to": start}
        try:
            if table is not None:
                places.resolve(place, table, movement)
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


def _in_words(typed: str, table: ScoreTable, movement: int) -> dict[str, Any]:
    """A place that is no plain span: "II: 41-48", "3 after C", "1-8, second time"."""
    try:
        found = said_place.read_place(typed, table, movement)
    except ClaimNotUnderstood as question:
        raise forms.ValidationError(str(question)) from None
    place = said_place.place_json(table, found.start, found.end, found.number)
    if isinstance(place, list):
        place = {"from": {"bar": place[0]}, "to": {"bar": place[-1]}}
    return place if found.movement == movement else {**place, "movement": found.movement + 1}
