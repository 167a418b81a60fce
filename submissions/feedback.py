"""What a student gets to see of flags, sentences and replies, by `may_see` alone."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db.models import F, QuerySet
from django.utils.translation import gettext

from analysis.engine.claims import speech
from analysis.engine.model import Sentence
from analysis.engine.sentences import register
from courses.models import User
from submissions.models import Check, Observation, Paper, Ruling
from submissions.places import place_label
from submissions.said import stated
from submissions.services.papers import mark_shown
from submissions.sight import Eyes
from submissions.wishes import LEFT_ALONE


def in_words(stored: Iterable[dict[str, Any]] | None) -> str:
    """Stored sentences [{"template", "params"}] in the reader's language."""
    return speech.text((Sentence(s["template"], s["params"]) for s in stored or ()), gettext)


def evidence_of(check: Check) -> list[dict[str, Any]]:
    return list(check.answer.get("evidence", []))


def feedback_of(paper: Paper, user: User, now: datetime) -> list[dict[str, Any]]:
    """Released flags, rulings and threads of a paper, one row per statement."""
    rows: list[dict[str, Any]] = []
    shown: list[Check] = []
    version = paper.assignment.current
    outline = version.score_version.canonical.outline if version else {"bars": []}
    eyes = Eyes(user, now)
    back: list[Check] = []
    for ruling in _rulings_on(paper):
        if not eyes.may_see(ruling):
            continue
        check = ruling.check_shown
        kept_back = check is not None and eyes.keeps_back(check)
        if check and check.shown_at is None and paper.student_id == user.pk:
            shown.append(check)
            back += [check] if kept_back else []
        rows.append(_row(ruling, outline, None if kept_back else check))
    if shown:
        mark_shown(shown, user, now, kept_back=back)
    return rows


def _rulings_on(paper: Paper) -> QuerySet[Ruling]:
    """What the tutor says on the latest version of each statement, in their order."""
    return (
        Ruling.objects.filter(
            observation_version__observation__paper=paper,
            observation_version__observation__state=Observation.State.HANDED_IN,
            observation_version__number=F("observation_version__observation__number"),
            current=True,
        )
        .select_related(
            "by",
            "check_shown__observation_version__observation__paper__assignment__course",
            "observation_version__observation__paper__assignment__course",
        )
        .prefetch_related("observation_version__observation__messages__author")
        .order_by("observation_version__observation")
    )


def _row(ruling: Ruling, outline: dict[str, Any], check: Check | None) -> dict[str, Any]:
    """`check` = what may be shown of the computed answer."""
    statement = ruling.observation_version
    agreed = check is not None and (not ruling.overrules or check.cause == LEFT_ALONE)
    return {
        "observation": statement.observation,
        "statement": statement,
        "stated": stated(statement, outline),
        "bars": place_label(statement, outline),
        "flag": ruling.flag,
        "flag_label": ruling.get_flag_display(),
        "level": ruling.get_level_display() if ruling.level else "",
        "reply": ruling.reply,
        "by": str(ruling.by),
        "sentence": check_words(check)["sentence"]
        if check and (agreed or check.cause == LEFT_ALONE)
        else "",
        "evidence": evidence_of(check) if check else [],
        "messages": list(statement.observation.messages.all()),
    }


#: The check speaks to the student; on the tutor's own screen these say it to the tutor.
_OPENER = "claim.answer.ear"
_TO_THE_TUTOR = ("claim.answer.free", "claim.answer.unready")
register(
    {
        "claim.answer.free.tutor": (
            "The student’s own words: nothing is computed on them; yours to hear."
        ),
        "claim.answer.unready.tutor": "Statements about {kind} are left to you for now.",
    }
)


def tutor_words(check: Check) -> dict[str, str]:
    """The sentences of a check as the tutor reads them."""
    told = [
        {**said, "template": f"{said['template']}.tutor"}
        if said["template"] in _TO_THE_TUTOR
        else said
        for said in (check.sentences or {}).get("sentence") or ()
        if said["template"] != _OPENER
    ]
    return {**check_words(check), "sentence": in_words(told)}


def check_words(check: Check) -> dict[str, str]:
    """The sentences of a check: what is so, what is noted, what would be true."""
    stored = check.sentences or {}
    return {name: in_words(stored.get(name)) for name in ("sentence", "note", "truth")}
