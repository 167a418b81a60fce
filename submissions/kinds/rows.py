"""Forms with rows: several of the same, such as the entries of an imitation, one after another.

Rows are plain fields with a number ("part1", "part2"), so that they are kept, filled in again and
told like any others; those beyond the first few are folded, and open without a mouse.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

ORDINALS = (
    _("First"), _("Second"), _("Third"), _("Fourth"), _("Fifth"), _("Sixth"),
)  # fmt: skip


class Row:
    """The fields of one row, for its template."""

    def __init__(self, number: int, fields: list[BoundField]) -> None:
        self.number = number
        self.label: str | Promise = ORDINALS[number - 1]
        self.fields = fields


class RowsMixin(forms.Form):
    """`row_fields` are made once for each row; a row counts if any of them is filled in."""

    row_fields: Mapping[str, Callable[[int], forms.Field]] = {}
    rows_most = len(ORDINALS)
    rows_open = 2
    before_rows: tuple[str, ...] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        # Before KindForm looks for the fields that ask for parts.
        rows = {
            f"{name}{number}": make(number)
            for number in range(1, self.rows_most + 1)
            for name, make in self.row_fields.items()
        }
        self.base_fields = {**rows, **self.base_fields}  # type: ignore[misc]
        super().__init__(*args, **kwargs)

    def rows(self) -> Iterator[Row]:
        for number in range(1, self.rows_most + 1):
            yield Row(number, [self[f"{name}{number}"] for name in self.row_fields])

    def open_rows(self) -> list[Row]:
        return list(self.rows())[: self.rows_open]

    def folded_rows(self) -> list[Row]:
        return list(self.rows())[self.rows_open :]

    def first_fields(self) -> list[BoundField]:
        return [self[name] for name in self.before_rows]

    def single_fields(self) -> list[BoundField]:
        inside = {field.name for row in self.rows() for field in row.fields}
        left = [field for field in self if field.name not in {*inside, *self.before_rows}]
        return sorted(left, key=lambda field: field.name == "negated")

    def filled_rows(self) -> list[tuple[int, dict[str, Any]]]:
        """Number and cleaned values of the rows in which something was typed."""
        found = []
        for number in range(1, self.rows_most + 1):
            names = {name: f"{name}{number}" for name in self.row_fields}
            if any(self.data.get(self.add_prefix(full), "").strip() for full in names.values()):
                values = {name: self.cleaned_data.get(full) for name, full in names.items()}
                found.append((number, values))
        return found
