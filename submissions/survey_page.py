"""The table of the page as it stands on a student's paper and on the tutor's board."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from analysis.engine.survey import MOST_LETTERS, OF_PAGE, OF_STAFF
from courses.models import User
from courses.stages import Kind, Way
from submissions.models import Paper, Survey
from submissions.sight import may_see

Outline = dict[str, Any]
Words = str | Promise

SEEN: dict[str, Words] = {
    "as-page": _("as the page"),
    "look-again": _("look again"),
    "ask": _("ask your tutor"),
}
COLUMNS: dict[str, tuple[Words, Words]] = {
    "instrument": (_("Instruments"), _("in any language")),
    "players": (_("Players"), _("2, a section")),
    "clef": (_("Clef"), _("treble, alto")),
    "transposition": (_("Sounds"), _("a fifth lower")),
    "key": (_("Signature"), _("2 flats")),
    "crook": (_("Crook, or “in”"), _("E flat")),
}
QUESTIONS: dict[str, tuple[Words, Words]] = {
    "families": (_("Families, from the top"), _("such as: woodwind, brass, strings")),
    "metre": (_("Metre"), _("3/4, C, alla breve")),
    "tempo": (_("Tempo word"), _("as printed")),
    "shared": (_("Staves that players share"), _("their numbers: 1-3, 7; or none")),
    "divided": (_("Sections that divide"), _("their numbers, or none")),
    "missing": (_("Who is missing"), _("instruments one might expect")),
}
assert (tuple(COLUMNS), tuple(QUESTIONS)) == (OF_STAFF, OF_PAGE)


@dataclass(frozen=True)
class Cell:
    """One cell: `seen` and `page` are empty where they are not to be known."""

    name: str
    label: Words
    example: Words
    value: str
    seen: str = ""
    page: str = ""

    @property
    def said(self) -> Words:
        return SEEN.get(self.seen, "")


def survey_of(paper: Paper, way: Way, user: User, outline: Outline, now: datetime) -> Any:
    """The table for the paper's student; None where its assignment has none, or not yet.

    How it compares with the page is an answer like any other: for those who may see it
    (`submissions.sight`).
    """
    stage = next((s for s in way.stages if s["kind"] == Kind.SURVEY and s.get("table")), None)
    if stage is None:
        return None
    writing = stage is way.current
    survey = Survey.objects.filter(paper=paper).select_related("paper__assignment__course").first()
    if not writing and (survey is None or way.surveying):
        return None
    shown = survey or Survey(paper=paper)
    return {
        **table_of(shown, outline, told=survey is not None and may_see(user, survey, now)),
        "writing": writing,
        "most": MOST_LETTERS,
    }


def table_of(survey: Survey, outline: Outline, *, told: bool) -> dict[str, Any]:
    """Rows of staves and questions of the page. `told`: with the marks and what the page says."""

    def cell(place: object, name: str, words: tuple[Words, Words]) -> Cell:
        full = f"{place}-{name}"
        mark, page = (kept.get(full, "") if told else "" for kept in (survey.seen, survey.page))
        return Cell(full, *words, survey.cells.get(full, ""), mark, page)

    return {
        "columns": [label for label, _example in COLUMNS.values()],
        "rows": [
            {
                "number": n + 1,
                "label": part["label"],
                "cells": [cell(n, name, words) for name, words in COLUMNS.items()],
            }
            for n, part in enumerate(outline["parts"])
        ],
        "questions": [cell("page", name, words) for name, words in QUESTIONS.items()],
        "compared": survey.compared_at is not None,
        "told": told,
        "counts": [(mark, SEEN[mark], n) for mark, n in counts_of(survey) if told and n],
    }


def counts_of(survey: Survey) -> list[tuple[str, int]]:
    """How many cells have each mark, in the order of `SEEN`."""
    found = Counter(survey.seen.values())
    return [(mark, found[mark]) for mark in SEEN]
