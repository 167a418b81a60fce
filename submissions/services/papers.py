"""Opening a paper, handing it in, releasing it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from courses.models import Assignment, AssignmentVersion, Course, Score, User
from courses.services.events import record
from courses.stages import way_of
from submissions.models import Check, Observation, Paper, Release
from submissions.services.checks import ask_check, keep_what_was_ruled_on, make_current
from submissions.services.opening import ALREADY_RELEASED, locked, may_write
from submissions.services.stages import end_last_stage, open_everything, stages_left, way_on
from submissions.sight import closes_at

NOT_OPEN_YET = "This assignment opens on {when}."
NOT_YOURS = "This assignment is not open to you."
NOTHING_YET = "There is nothing on this paper yet. Write a statement, then hand in."
TOO_FEW = "“{title}” asks for {n} more; you may hand in without, or go back to it."
TOO_MANY = "“{title}” takes {most} statements at most, and you have {have}: take some back first."
TOO_MANY_FOR_ONE = "“{title}” takes one statement, and you have {have}: take some back first."
TOO_MANY_FINDS = "Free finds are {most} at most here, and you have {have}: take some back first."
STAGE_LEFT = "One stage is still before you; you may hand in without, or go on to it."
STAGES_LEFT = "{n} stages are still before you; you may hand in without, or go on to them."
USE_ENDED = (
    "This score may not be used here any longer; what you wrote is kept. Ask your tutor about it."
)


def open_paper(*, student: User, assignment: Assignment, now: datetime | None = None) -> Paper:
    """The student's paper, made at the first visit."""
    now = now or timezone.now()
    if not Assignment.objects.reachable_by(student).filter(pk=assignment.pk).exists():
        raise ValidationError(_(NOT_YOURS), code="not-yours")
    version = assignment.current
    assert version is not None
    if version.opens_at and version.opens_at > now:
        when = version.opens_wall or version.opens_at.isoformat()
        raise ValidationError(_(NOT_OPEN_YET).format(when=when), code="not-open-yet")
    if not Score.objects.in_use().filter(versions=version.score_version_id).exists():
        raise ValidationError(_(USE_ENDED), code="use-ended")
    try:
        with transaction.atomic():
            paper, _made = Paper.objects.get_or_create(assignment=assignment, student=student)
    except IntegrityError:  # two tabs at once
        paper = Paper.objects.get(assignment=assignment, student=student)
    return paper


def wanting(paper: Paper, version: AssignmentVersion) -> list[dict[str, Any]]:
    """What is asked of the student at this stage, and before: [{"prompt", "have", "missing",
    "most"}]. `missing` looks at first answers, `most` is what the fuller answer has.
    """
    counts = Counter(
        (str(key), number)
        for key, number in Observation.objects.filter(paper=paper)
        .exclude(state=Observation.State.WITHDRAWN)
        .values_list("prompt_key", "round")
    )
    way = way_of(version, paper.student)
    rows = []
    for prompt in filter(way.reached, way.prompts):
        first, second = (counts[str(prompt.key), number] for number in (1, 2))
        rows.append({"prompt": prompt, "have": first + second, "most": max(first, second),
                     "missing": max(0, prompt.wanted_min - first)})  # fmt: skip
    return rows


def _too_many(
    paper: Paper, version: AssignmentVersion, rows: list[dict[str, Any]]
) -> dict[str, str]:
    """Key of the prompt ("": free finds) -> what is too much there, as a sentence."""
    said = {}
    for row in rows:
        if row["most"] > (most := row["prompt"].wanted_max):
            text = ngettext(TOO_MANY_FOR_ONE, TOO_MANY, most)
            text = text.format(title=row["prompt"].title, most=most, have=row["most"])
            said[str(row["prompt"].key)] = text
    statements = paper.observations.exclude(state=Observation.State.WITHDRAWN)
    finds = statements.filter(prompt_key=None).count()
    if finds > (most := version.free_finds_max):
        said[""] = _(TOO_MANY_FINDS).format(most=most, have=finds)
    return said


def too_many_for(observation: Observation) -> str:
    """That its prompt has more statements than can be handed in, as a sentence; "" if not.

    The statement is kept all the same: which of them goes is for the student to choose.
    """
    paper = observation.paper
    version = paper.assignment.current
    if version is None:
        return ""
    said = _too_many(paper, version, wanting(paper, version))
    return said.get(str(observation.prompt_key or ""), "")


def _look_over(paper: Paper, version: AssignmentVersion, *, sure: bool) -> None:
    """Refuse more than is wanted; unless `sure`, ask once about what is missing."""
    rows = wanting(paper, version)
    for text in _too_many(paper, version, rows).values():
        raise ValidationError(text, code="too-many")
    missing = [
        _(TOO_FEW).format(title=row["prompt"].title, n=row["missing"])
        for row in rows
        if row["missing"]
    ]
    if left := stages_left(way_on(paper)):
        said = ngettext(STAGE_LEFT, STAGES_LEFT, len(left))
        missing.append(said.format(n=len(left)))
    if missing and not sure:
        raise ValidationError(" ".join(missing), code="too-few")


@transaction.atomic
def hand_in(
    *, paper: Paper, student: User, now: datetime | None = None, sure: bool = True
) -> Paper:
    """Hand in every draft of the paper; each goes to the checker. Again = what is new.

    Not `sure`: refused once (code "too-few") where a prompt asks for more.
    """
    now = now or timezone.now()
    paper = locked(paper)
    if not may_write(paper, now):
        raise ValidationError(_(ALREADY_RELEASED), code="released")
    version = paper.assignment.current
    assert version is not None
    closing = closes_at(version, student)
    drafts = list(paper.observations.filter(state=Observation.State.DRAFT))
    if not drafts:
        if paper.handed_in_at:
            return paper  # a second click
        raise ValidationError(_(NOTHING_YET), code="nothing")
    _look_over(paper, version, sure=sure)
    for observation in drafts:
        latest = observation.versions.get(number=observation.number)
        if latest.kind != "free" and latest.first_bar is None:
            raise ValidationError(
                _("A statement has no bars yet. Say where, or take it back."), code="no-place"
            )
        observation.state = Observation.State.HANDED_IN
        observation.save(update_fields=["state"])
        ask_check(latest)
    paper.late = paper.late or bool(closing and now > closing)
    paper.handed_in_at = now
    paper.state = Paper.State.HANDED_IN
    paper.save(update_fields=["late", "handed_in_at", "state"])
    end_last_stage(paper, student, now)
    record(student, "paper.handed-in", paper, course=paper.assignment.course, n=len(drafts))
    return paper


@transaction.atomic
def release(*, paper: Paper, by: User) -> Paper:
    """Give a paper back: its flags and replies become visible and stay as shown."""
    paper = locked(paper)
    if paper.state == Paper.State.RELEASED:
        return paper
    Release.objects.create(paper=paper, by=by)
    paper.state = Paper.State.RELEASED
    paper.save(update_fields=["state"])
    keep_what_was_ruled_on(paper)
    open_everything(paper)
    record(by, "paper.released", paper, course=paper.assignment.course)
    return paper


@transaction.atomic
def release_ruled(*, assignment: Assignment, by: User) -> int:
    """Give back every paper that is wholly ruled."""
    papers = list(assignment.papers.filter(state=Paper.State.RULED))
    for paper in papers:
        release(paper=paper, by=by)
    return len(papers)


@transaction.atomic
def mark_shown(
    checks: list[Check], student: User, now: datetime, kept_back: Iterable[Check] = ()
) -> None:
    """Remember that these answers were shown on the student's own paper: they stay.

    Of those in `kept_back` the ruling alone was shown, and no more ever is.
    """
    fresh = [check.pk for check in checks if check.shown_at is None]
    if fresh:
        for check in kept_back:
            check.kept_back = True
        Check.objects.filter(pk__in=[c.pk for c in kept_back]).update(kept_back=True)
        Check.objects.filter(pk__in=fresh, shown_at=None).update(shown_at=now)
        for check in checks:
            make_current(check)
        record(student, "answers.shown", checks[0], n=len(fresh))


def is_open_course(paper: Paper) -> bool:
    return bool(paper.assignment.course.form == Course.Form.OPEN)
