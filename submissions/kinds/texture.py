"""What sort of tissue the bars are."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import KindForm, NegatedMixin

TEXTURES = [
    ("single-line", _("a single line, no harmony")),
    ("melody-accompaniment", _("a tune with accompaniment")),
    ("melody-countermelody", _("two tunes at once")),
    ("chorale", _("like a chorale: all in one rhythm")),
    ("part-writing", _("part-writing: lines of equal weight")),
    ("imitation", _("imitation: parts follow each other")),
    ("dialogue", _("dialogue: parts take turns")),
    ("held-chords", _("held chords")),
    ("layered", _("layers: several figures at once")),
    ("pulse", _("pulse: repeated notes, no tune")),
]


class TextureForm(NegatedMixin, KindForm):
    texture = forms.ChoiceField(label=_("These bars are"), choices=TEXTURES)
    field_order = ("texture", "negated")

    def claim(self) -> dict[str, Any]:
        data = self.cleaned_data
        claim = {"texture": data["texture"], "parts": []}
        return {**claim, "negated": True} if data["negated"] else claim
