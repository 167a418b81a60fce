"""With whom a part goes, step by step."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import (
    OCTAVES,
    KindForm,
    NegatedMixin,
    PartsField,
    on_both_sides,
    parts_as_text,
)
from submissions.kinds.points import SpanField, span_as_typed
from submissions.kinds.rows import ORDINALS, RowsMixin

DOES = [("", _("it goes with")), ("alone", _("it goes alone")), ("rests", _("it rests"))]


def _bars(number: int) -> forms.Field:
    return SpanField(
        label=_("{nth} step: bars").format(nth=ORDINALS[number - 1]),
        required=number == 1,
        help_text=_("Such as 5-8.") if number == 1 else "",
    )


def _does(number: int) -> forms.Field:
    return forms.ChoiceField(label=_("there"), choices=DOES, required=False)


def _with(number: int) -> forms.Field:
    return PartsField(label=_("whom"), required=False, help_text="")


def _octaves(number: int) -> forms.Field:
    return forms.TypedChoiceField(
        label=_("how far apart"), choices=OCTAVES, coerce=int, empty_value=None, required=False
    )


class CourseForm(NegatedMixin, RowsMixin, KindForm):
    row_fields = {"bars": _bars, "does": _does, "with": _with, "octaves": _octaves}
    parts = PartsField(label=_("The part"))
    before_rows = ("parts",)
    field_order = ("parts",)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for number, row in self.filled_rows():
            if not row["bars"] and f"bars{number}" not in self.errors:
                self.add_error(f"bars{number}", _("In which bars?"))
            if not row["does"] and not row["with"] and f"with{number}" not in self.errors:
                said = _("With whom? Name the part, or choose that it goes alone or rests.")
                self.add_error(f"with{number}", said)
            if row["does"] and row["with"]:
                self.add_error(f"with{number}", _("Alone, or with somebody? Choose one."))
            if on_both_sides(data.get("parts") or [], row["with"] or []):
                self.add_error(f"with{number}", _("A part does not go with itself."))
        return data

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        steps = []
        for _n, row in self.filled_rows():
            step: dict[str, Any] = {"bars": row["bars"], "with": row["with"] or []}
            if row["with"] and row["octaves"] is not None:
                step["octaves"] = row["octaves"]
            if row["does"] == "rests":
                step["role"] = "silence"
            steps.append(step)
        claim = {"parts": data["parts"], "steps": steps}
        return {**claim, "negated": True} if data["negated"] else claim

    @staticmethod
    def typed(value: dict[str, Any], outline: dict[str, Any]) -> dict[str, str]:
        found = {}
        for number, step in enumerate(value.get("steps", [])[: len(ORDINALS)], start=1):
            found[f"bars{number}"] = span_as_typed(step["bars"])
            company = step.get("with") or []
            rests = step.get("role") == "silence"
            found[f"does{number}"] = "rests" if rests else "" if company else "alone"
            found[f"with{number}"] = parts_as_text(company, outline)
            if step.get("octaves") is not None:
                found[f"octaves{number}"] = str(step["octaves"])
        return found
