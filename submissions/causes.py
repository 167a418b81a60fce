"""Misreadings by their codes (the contract's cause codes), in words a tutor uses."""

from __future__ import annotations

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

CAUSES: dict[str, str | Promise] = {
    "synonym": _("a collective taken in its narrower sense"),
    "edition": _("bars of the student’s own edition"),
    "pickup": _("pickup counted as bar 1"),
    "ending": _("the other ending"),
    "pass": _("the other time through"),
    "bar-offset": _("one bar off"),
    "player": _("the other player of the staff"),
    "bass-written": _("bass at written pitch"),
    "old-bass-clef": _("old bass-clef horn"),
    "cello-treble": _("cello in the old treble clef"),
    "octave-count": _("another number of octaves"),
    "partial-as-full": _("partial doubling called full"),
    "two-statements": _("two statements called a sequence"),
    "untransposed": _("read untransposed"),
    "reversed": _("transposed the wrong way"),
    "clef": _("another clef"),
    "german-b": _("German B taken for B natural"),
    "third-as-octave": _("thirds called octaves"),
    "sixth-as-octave": _("sixths called octaves"),
    "contact": _("lines that only meet called a doubling"),
    "repetition": _("repetition called a sequence"),
    "top-staff": _("melody sought in the top staff"),
    "relative-key": _("relative key"),
    "parallel-key": _("parallel key"),
    "tonicisation": _("touched key called a modulation"),
    "filler": _("filling called a second tune"),
    "not-understood": _("statement not understood"),
    "unconfirmed-part": _("part not confirmed"),
}


def in_words(code: str) -> str:
    """The label of a code; "" = no misreading was named."""
    if not code:
        return str(_("no misreading named"))
    return str(CAUSES.get(code, code.replace("-", " ")))
