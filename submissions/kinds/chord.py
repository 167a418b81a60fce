"""A chord, its bass, and who has which of its notes."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from analysis.engine.claims.chord_words import quality_named
from analysis.engine.claims.fields import read_pitch
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import ScoreTable
from analysis.engine.name_book import players_of
from submissions.kinds.base import KindForm, NegatedMixin, PartsField, parts_as_text

INVERSIONS = [
    ("", _("I leave that open")),
    ("0", _("its root")),
    ("1", _("its third (first inversion)")),
    ("2", _("its fifth (second inversion)")),
    ("3", _("its seventh (third inversion)")),
]
MEMBERS = [
    ("root", _("the root")),
    ("third", _("the third")),
    ("fifth", _("the fifth")),
    ("seventh", _("the seventh")),
    ("foreign", _("a note foreign to it")),
]


def _name(part: Any, table: ScoreTable | None) -> str:
    """A PART as a word, which it must be where it is the name of a field: an id, or its line."""
    if not isinstance(part, dict):
        return str(part)
    index = next((r.index for r in table.parts if r.id == part["part"]), -1) if table else -1
    for line in table.lines if table else ():
        if line.part == index and part.get("player") in players_of(line):
            return line.name
    return str(part["part"])


class ChordForm(NegatedMixin, KindForm):
    root = forms.CharField(
        label=_("Root"), max_length=8, required=False, help_text=_("Such as C, or Eb.")
    )
    quality = forms.CharField(
        label=_("Sort of chord"), max_length=40, required=False,
        help_text=_("Such as “major”, “minor” or “dominant seventh”."),
    )  # fmt: skip
    inversion = forms.TypedChoiceField(
        label=_("In the bass"), choices=INVERSIONS, coerce=int, empty_value=None, required=False
    )
    parts = PartsField(label=_("Who has a note of it"), required=False)
    member = forms.ChoiceField(label=_("They have"), choices=[("", "-"), *MEMBERS], required=False)
    field_order = ("root", "quality", "inversion", "parts", "member", "negated")

    def clean_root(self) -> str:
        text = str(self.cleaned_data["root"]).strip()
        if text and read_pitch(text) is None:
            raise forms.ValidationError(_("Write a note name such as Eb."))
        return text

    def clean_quality(self) -> str:
        text = str(self.cleaned_data["quality"]).strip()
        try:
            if text:
                quality_named(text)
        except ClaimNotUnderstood as question:
            raise forms.ValidationError(str(question)) from None
        return text

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        said = [data.get(name) for name in ("root", "quality", "inversion", "member")]
        if all(value in (None, "") for value in said) and not self.errors:
            self.add_error("root", _("Say one thing about the chord."))
        if bool(data.get("member")) != bool(data.get("parts")) and "parts" in data:
            self.add_error("member", _("Say who, and which note of the chord they have."))
        return data

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim: dict[str, Any] = {"parts": []}
        claim |= {n: data[n] for n in ("root", "quality", "inversion") if data[n] not in (None, "")}
        if data["member"]:
            table = self.fields["parts"].table  # type: ignore[attr-defined]
            claim["member"] = {_name(part, table): data["member"] for part in data["parts"]}
        return {**claim, "negated": True} if data["negated"] else claim

    @staticmethod
    def typed(value: dict[str, Any], outline: dict[str, Any]) -> dict[str, str]:
        members = value.get("member") or {}
        if len(set(members.values())) != 1:
            return {}
        ids = {p["id"] for p in outline.get("parts", [])}
        named = [{"part": name} if name in ids else name for name in members]
        return {"parts": parts_as_text(named, outline), "member": next(iter(members.values()))}
