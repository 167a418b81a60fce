"""Parts that follow each other with one subject."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import KindForm, NegatedMixin, PartsField, parts_as_text
from submissions.kinds.points import POINT_HELP, PointField, point_as_typed
from submissions.kinds.rows import ORDINALS, RowsMixin

#: semitones from the entry before; the usual ones, in words
INTERVALS = [
    ("", _("I leave that open")),
    ("0", _("at the same pitch")),
    ("-12", _("an octave lower")),
    ("12", _("an octave higher")),
    ("-7", _("a fifth lower")),
    ("7", _("a fifth higher")),
    ("-5", _("a fourth lower")),
    ("5", _("a fourth higher")),
    ("-4", _("a major third lower")),
    ("-3", _("a minor third lower")),
    ("3", _("a minor third higher")),
    ("4", _("a major third higher")),
    ("-2", _("a whole tone lower")),
    ("2", _("a whole tone higher")),
]


def _part(number: int) -> forms.Field:
    return PartsField(
        label=_("{nth} entry").format(nth=ORDINALS[number - 1]),
        required=number <= 2,
        help_text=PartsField().help_text if number == 1 else "",
    )


def _at(number: int) -> forms.Field:
    return PointField(
        label=_("enters at"), required=number <= 2, help_text=POINT_HELP if number == 1 else ""
    )


class ImitationForm(NegatedMixin, RowsMixin, KindForm):
    row_fields = {"part": _part, "at": _at}
    interval = forms.TypedChoiceField(
        label=_("Each entry, from the one before"), choices=INTERVALS, coerce=int,
        empty_value=None, required=False,
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for number, row in self.filled_rows():
            if not row["part"] and f"part{number}" not in self.errors:
                self.add_error(f"part{number}", _("Which part enters there?"))
            if not row["at"] and f"at{number}" not in self.errors:
                self.add_error(f"at{number}", _("At which bar does it enter?"))
            if row["part"] and len(row["part"]) > 1:
                self.add_error(
                    f"part{number}", _("Name one part an entry; others have rows of their own.")
                )
        return data

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        rows = [{"part": row["part"][0], "at": row["at"]} for _n, row in self.filled_rows()]
        claim: dict[str, Any] = {"parts": [], "entries": rows}
        if data["interval"] is not None:
            claim["interval"] = data["interval"]
        return {**claim, "negated": True} if data["negated"] else claim

    @staticmethod
    def typed(value: dict[str, Any], outline: dict[str, Any]) -> dict[str, str]:
        found = {}
        for number, entry in enumerate(value.get("entries", [])[: len(ORDINALS)], start=1):
            found[f"part{number}"] = parts_as_text([entry["part"]], outline)
            found[f"at{number}"] = point_as_typed(entry["at"])
        if value.get("interval") is not None:
            found["interval"] = str(value["interval"])
        return found
