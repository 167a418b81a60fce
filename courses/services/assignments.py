"""Draft, publish, extend."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from analysis.engine import tolerances
from analysis.engine.claims import KINDS
from analysis.engine.errors import EngineError
from analysis.engine.settings import Settings
from courses import drafts, stages
from courses.ids import NO_ID, as_id
from courses.models import (
    Assignment,
    AssignmentVersion,
    Course,
    Extension,
    Prompt,
    ScoreVersion,
    User,
)
from courses.services.events import record
from courses.signals import assignment_published

NOT_READY = "The score is not ready yet: its parts must be confirmed and its reading finished."
CHANGED_MEANWHILE = "The draft was changed in another window; nothing was overwritten."


@transaction.atomic
def create_assignment(*, course: Course, by: User, title: str) -> Assignment:
    draft = {**drafts.empty_draft(), "zone": course.zone}
    assignment = Assignment(course=course, title=title, draft=draft)
    assignment.full_clean(exclude=["course", "current"])
    assignment.save()
    record(by, "assignment.created", assignment, course=course)
    return assignment


@transaction.atomic
def save_draft(
    *, assignment: Assignment, by: User, title: str, draft: dict[str, Any], if_match: int
) -> Assignment:
    """Store the draft unless somebody saved in between."""
    changed = Assignment.objects.filter(pk=assignment.pk, revision=if_match).update(
        title=title, draft=draft, revision=if_match + 1
    )
    if not changed:
        raise ValidationError(_(CHANGED_MEANWHILE), code="stale")
    assignment.refresh_from_db()
    return assignment


def hindrances(assignment: Assignment) -> list[str]:
    """What must be mended before the draft can be published, as sentences."""
    draft = {**drafts.empty_draft(), **assignment.draft}
    found: list[str] = []
    version = ScoreVersion.objects.filter(
        public_id=as_id(draft["score_version"]), score__tutor=assignment.course.tutor
    ).first()
    if version is None:
        found.append(_("Choose a score from your library."))
    elif version.state != ScoreVersion.State.READY:
        found.append(_(NOT_READY))
    if not draft["prompts"]:
        found.append(_("Write at least one prompt."))
    for number, prompt in enumerate(draft["prompts"], 1):
        if not prompt["title"].strip():
            found.append(_("Prompt {n} has no title.").format(n=number))
        if as_id(prompt["key"]) == NO_ID:
            found.append(_("Prompt {n} is not whole; load the page again.").format(n=number))
        if not _in_score(prompt, version):
            found.append(_("Prompt {n} has no passage: choose its bars.").format(n=number))
        if prompt["wanted_min"] > prompt["wanted_max"]:
            found.append(_("Prompt {n} wants more at least than at most.").format(n=number))
    found += _unsound(draft)
    outline = getattr(getattr(version, "canonical", None), "outline", None)
    found += stages.hindrances(draft, outline)
    try:
        opens = drafts.instant(draft["opens_wall"], draft["zone"])
        closes = drafts.instant(draft["closes_wall"], draft["zone"])
    except ValidationError as error:
        found.extend(error.messages)
    else:
        if assignment.course.form == Course.Form.DATED and closes is None:
            found.append(_("Say when the assignment closes: this is a course with dates."))
        if opens and closes and closes <= opens:
            found.append(_("The assignment closes before it opens."))
    return found


def _in_score(prompt: dict[str, Any], version: ScoreVersion | None) -> bool:
    """Whether the prompt has bars and the file has them too (another one may have been chosen)."""
    first, last = prompt["first_bar"], prompt["last_bar"]
    if first is None or last is None:
        return False
    outline = getattr(getattr(version, "canonical", None), "outline", None)
    return outline is None or 0 <= first <= last < len(outline["bars"])


def _unsound(draft: dict[str, Any]) -> list[str]:
    """What is wrong with the draft's tolerances and with what is checked of each kind."""
    found: list[str] = []
    try:
        Settings.from_dict(draft["settings"])
    except EngineError as error:
        found.append(str(error))
    for sentence, told in tolerances.problems(draft["settings"]):
        words: dict[str, Any] = {**told}
        for name in {"title", "lower", "upper"} & set(told):
            words[name] = _(told[name])
        found.append(_(sentence).format(**words))
    for kind, checked in draft["kinds"].items():
        if kind not in KINDS or checked not in Prompt.Checked.values:
            found.append(_("“{kind}” cannot be checked that way.").format(kind=kind))
    return found


@transaction.atomic
def publish(*, assignment: Assignment, by: User) -> AssignmentVersion:
    """Turn the draft into an immutable version; the prompts keep their keys."""
    if found := hindrances(assignment):
        raise ValidationError(found)
    draft = {**drafts.empty_draft(), **assignment.draft}
    score_version = ScoreVersion.objects.get(public_id=draft["score_version"])
    last = assignment.versions.order_by("-number").first()
    version = AssignmentVersion.objects.create(
        assignment=assignment,
        number=(last.number + 1) if last else 1,
        title=assignment.title,
        text=draft["text"],
        score_version=score_version,
        group_id=draft["group"],
        opens_at=drafts.instant(draft["opens_wall"], draft["zone"]),
        closes_at=drafts.instant(draft["closes_wall"], draft["zone"]),
        zone=draft["zone"],
        opens_wall=draft["opens_wall"],
        closes_wall=draft["closes_wall"],
        settings=draft["settings"],
        kinds=draft["kinds"],
        free_finds_min=draft["free_finds_min"],
        free_finds_max=draft["free_finds_max"],
        stages=draft["stages"],
        published_by=by,
    )
    Prompt.objects.bulk_create(
        Prompt(
            assignment_version=version,
            key=prompt["key"],
            order=order,
            version=score_version,
            **{name: drafts.new_prompt(**prompt)[name] for name in drafts.PROMPT_FIELDS},
        )
        for order, prompt in enumerate(draft["prompts"], 1)
    )
    assignment.current = version
    assignment.state = Assignment.State.PUBLISHED
    assignment.save(update_fields=["current", "state"])
    assignment.course.scores.add(score_version.score)
    record(by, "assignment.published", assignment, course=assignment.course, version=version.number)
    assignment_published.send(AssignmentVersion, assignment_version=version)
    return version


@transaction.atomic
def extend(
    *, assignment: Assignment, student: User, by: User, closes_at: datetime, reason: str = ""
) -> Extension:
    """One student's own closing time; nobody else is told.

    ValidationError: no student of the course, or no later than everybody's.
    """
    closing = assignment.current.closes_at if assignment.current else None
    if not assignment.course.enrolments.active().students().filter(user=student).exists():
        raise ValidationError(_("Choose a student of this course."))
    if closing and closes_at <= closing:
        raise ValidationError(_("That is no more time: the assignment closes then or later."))
    extension, _made = Extension.objects.update_or_create(
        assignment=assignment,
        student=student,
        defaults={"closes_at": closes_at, "reason": reason},
    )
    record(by, "assignment.extended", assignment, course=assignment.course)
    return extension


@transaction.atomic
def take_time_back(*, assignment: Assignment, student: User, by: User) -> None:
    """Everybody's closing time again."""
    if Extension.objects.filter(assignment=assignment, student=student).delete()[0]:
        record(by, "assignment.extension_ended", assignment, course=assignment.course)
