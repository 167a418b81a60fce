"""Why one check of a statement says something else than another: what differs in what they
were made of, in sentences to the tutor."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.utils.text import Truncator
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from analysis.engine import claims
from analysis.engine.tolerances import BY_NAME
from analysis.models import Overrule, Run
from courses.models import Prompt
from courses.services.parts import EDITABLE, part_key
from submissions.models import Check
from submissions.standing import EDITION, WISH, Standing
from submissions.strictness import shown

#: How what may be changed about a part is called; what is not named goes with its neighbour.
_OF_PART = {
    "instrument": "instrument", "transposition": "transposition", "diatonic": "transposition",
    "crook": "crook", "players": "players", "octave_switch": "octave",
    "old_bass_clef": "old bass clef",
}  # fmt: skip
MOST = 3  # parts or words named one by one


@dataclass(frozen=True)
class Basis:
    """What an answer was made of, from a check or from how things stand."""

    run: int | None
    checker: str
    asked: Mapping[str, Any]
    asked_hash: str
    words: tuple[str, ...]
    words_hash: str
    span: tuple[int, int] | None = None

    @classmethod
    def of(cls, check: Check) -> Basis:
        return cls(check.run_id, check.checker_version, check.settings or {}, check.settings_hash,
                   tuple(check.overrules or ()), check.overrule_revision)  # fmt: skip

    @classmethod
    def now(cls, standing: Standing) -> Basis:
        key = standing.key
        return cls(standing.run.pk if standing.run else None, claims.CHECKER_VERSION,
                   standing.asked, key["settings_hash"], standing.overrules or (),
                   key["overrule_revision"])  # fmt: skip


class Reasons:
    """Looks up in two questions what many pairs of bases speak of."""

    def __init__(self, pairs: Iterable[tuple[Basis, Basis]]) -> None:
        runs: set[int] = set()
        words: set[UUID] = set()
        for old, new in pairs:
            if old.run != new.run:
                runs |= {run for run in (old.run, new.run) if run is not None}
            if old.words != new.words:
                words |= {_word(mark) for mark in {*old.words} ^ {*new.words}}
        self._runs = Run.objects.select_related("parts_revision").in_bulk(runs) if runs else {}
        self._words = (
            {w.public_id: w for w in Overrule.objects.filter(public_id__in=words)} if words else {}
        )

    def why(self, old: Basis, new: Basis, span: tuple[int, int] | None = None) -> list[str]:
        """Sentences, the likeliest cause first; `span` = the statement's bars."""
        others = [
            *self._of_reading(old, new),
            *_of_what_is_asked(old, new),
            *_of_checker(old, new),
        ]
        near, far = self._of_words(old, new, span)
        return [*_at_most(near or ([] if others else far)), *others]

    def _of_words(
        self, old: Basis, new: Basis, span: tuple[int, int] | None
    ) -> tuple[list[str], list[str]]:
        """What the tutor's words say of the statement's bars, and what they say of others."""
        if old.words_hash == new.words_hash or not (old.words_hash and new.words_hash):
            return [], []
        if old.words == new.words:  # kept before checks named their words
            return [_("Your word on the reading was changed.")], []
        before, after = _by_word(old.words), _by_word(new.words)
        told: list[tuple[bool, str]] = []
        for key in dict.fromkeys((*before, *after)):
            if before.get(key) == after.get(key) or (word := self._words.get(key)) is None:
                continue
            here = span is None or (word.first_bar <= span[1] and word.last_bar >= span[0])
            if key not in before:
                said = _("Your word on the reading: “{reason}”")
            elif key not in after:
                said = _("You took back your word on the reading: “{reason}”")
            else:
                said = _("Your word on the reading has another place: “{reason}”")
            told.append((here, said.format(reason=Truncator(word.reason).chars(120))))
        near = [said for here, said in told if here]
        return near, [said for here, said in told if not here]

    def _of_reading(self, old: Basis, new: Basis) -> list[str]:
        if old.run == new.run or new.run is None:
            return []  # where nothing is looked at any more, the wish says so
        now = self._runs.get(new.run)
        before = self._runs.get(old.run) if old.run is not None else None
        if now is None or before is None:
            return [_("The score has been read since.")]
        if before.parts_revision_id != now.parts_revision_id:
            return _parts(before.parts_revision.parts, now.parts_revision.parts)
        if before.engine_version != now.engine_version:
            said = _("The score was read anew: version {new} of the reading instead of {old}.")
            return [said.format(new=now.engine_version, old=before.engine_version)]
        return [_("The score was read anew, with other thresholds.")]


def _word(mark: str) -> UUID:
    return UUID(mark.split("@")[0])


def _by_word(marks: Iterable[str]) -> dict[UUID, str]:
    return {_word(mark): mark for mark in marks}


def _parts(before: list[dict[str, Any]], now: list[dict[str, Any]]) -> list[str]:
    """Which parts are taken for something else."""
    old = {part_key(row): row for row in before}
    told = []
    for row in now:
        was = old.get(part_key(row), {})
        names = [_OF_PART[f] for f in EDITABLE if f in _OF_PART and was.get(f) != row.get(f)]
        if names:
            told.append(f"{row['label']} ({', '.join(_(n) for n in dict.fromkeys(names))})")
    if not told:
        return [_("The parts were confirmed anew.")]
    more = len(told) - MOST
    if more > 0:
        told = [*told[:MOST], ngettext("{n} more", "{n} more", more).format(n=more)]
    return [_("The parts were changed: {parts}.").format(parts=", ".join(told))]


def _of_what_is_asked(old: Basis, new: Basis) -> list[str]:
    if old.asked_hash == new.asked_hash:
        return []
    told = []
    labels = dict(Prompt.Checked.choices)
    was, now = (b.asked.get(WISH, Prompt.Checked.FACTS) for b in (old, new))
    if was != now:
        said = _("What is checked was changed: “{now}” instead of “{was}”.")
        told.append(said.format(now=labels.get(now, now), was=labels.get(was, was)))
    if (bars := new.asked.get(EDITION, 0)) != old.asked.get(EDITION, 0):
        said = _(
            "The student’s own copy counts its bars otherwise: bar {here} here is {there} there."
        )
        told.append(said.format(here=10, there=10 + bars))
    if Prompt.Checked.LEFT_ALONE not in (was, now):
        for name, t in BY_NAME.items():
            a, b = old.asked.get(name, t.default), new.asked.get(name, t.default)
            if a != b:
                said = _("Tolerance “{title}”: {now} instead of {was}.")
                told.append(said.format(title=_(t.title), now=shown(t, b), was=shown(t, a)))
    return told or [_("The tolerances were changed.")]


def _of_checker(old: Basis, new: Basis) -> list[str]:
    if old.checker == new.checker:
        return []
    said = _("The checker was renewed: version {new} instead of {old}.")
    return [said.format(new=new.checker, old=old.checker)]


def _at_most(told: list[str]) -> list[str]:
    if len(told) <= MOST:
        return told
    more = len(told) - MOST
    said = ngettext("And {n} more word of yours.", "And {n} more words of yours.", more)
    return [*told[:MOST], said.format(n=more)]
