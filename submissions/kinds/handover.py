"""A line that passes on."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import KindForm, NegatedMixin, PartsField, on_both_sides
from submissions.kinds.points import POINT_HELP, PointField, point_as_typed


class HandoverForm(NegatedMixin, KindForm):
    from_ = PartsField(label=_("The line goes from"))
    to = PartsField(label=_("to"), help_text="")
    at = PointField(label=_("The new part enters at"), required=False, help_text=POINT_HELP)
    field_order = ("from_", "to", "at", "negated")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for name in ("from_", "to"):
            if len(data.get(name) or []) > 1:
                said = _("Name one part: the one that leads; the others go along.")
                self.add_error(name, said)
        if on_both_sides(data.get("from_") or [], data.get("to") or []):
            self.add_error("to", _("A part hands nothing to itself. Name another one."))
        return data

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim: dict[str, Any] = {"parts": [], "from": data["from_"][0], "to": data["to"][0]}
        if data["at"]:
            claim["at"] = data["at"]
        return {**claim, "negated": True} if data["negated"] else claim

    @staticmethod
    def typed(value: dict[str, Any], outline: dict[str, Any]) -> dict[str, str]:
        return {"at": point_as_typed(value["at"])} if value.get("at") else {}
