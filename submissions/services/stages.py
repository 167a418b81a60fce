"""Going on to the next stage, and giving a first answer. Both are for good."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from courses.models import Prompt, Step, User
from courses.services.events import record
from courses.stages import TWICE, Kind, Way, way_of
from submissions.models import Observation, Paper, Survey
from submissions.services.opening import ALREADY_RELEASED, locked, may_write
from submissions.surveying import compare_survey

NOT_HERE = "You are at another stage now; load the page again."
NO_SUCH_PROMPT = "This question is not asked any more; load the page again."
FIXED = "This was handed in with its stage, and stays as it is. Say what is new as a new statement."
FIRST_FIXED = "Your first answer stays as you gave it. Say what you see now as a new statement."
CLOSED = "The page is closed while you answer from memory. Say it in your own words."
NOTHING_SAID = "There is no answer to “{title}” yet."
NO_TABLE = "The table of the page is still empty; you may go on without, or fill it in first."
TOO_FEW = "“{title}” asks for {n} more; you may go on without, or say it first."


def way_on(paper: Paper) -> Way:
    """How far the paper's student is in its assignment as it stands."""
    version = paper.assignment.current
    return way_of(version, paper.student) if version else Way([])


def refuse_unasked(way: Way, prompt_key: str | None) -> None:
    """ValidationError if the prompt is not asked any more, or belongs to a later stage."""
    prompt = _prompt(way, prompt_key) if prompt_key else None
    if prompt_key and (prompt is None or not way.reached(prompt)):
        raise ValidationError(_(NO_SUCH_PROMPT), code="no-prompt")


def round_for(way: Way, prompt_key: str | None, kind: str) -> int:
    """Which answer to a prompt a new statement belongs to: 1 or 2.

    ValidationError: its stage is handed in, or the page is closed.
    """
    refuse_closed(way, kind)
    prompt = _prompt(way, prompt_key)
    if prompt is not None and not way.asked_now(prompt):
        raise ValidationError(_(FIXED), code="fixed")
    return way.round_of(prompt)


def refuse_closed(way: Way, kind: str) -> None:
    """While the page is closed only own words are taken: a form would tell who plays."""
    if way.recalling and kind != "free":
        raise ValidationError(_(CLOSED), code="closed")


def is_fixed(way: Way, observation: Observation) -> bool:
    """Whether what was said stays as it is."""
    return way.fixed(_prompt(way, observation.prompt_key), observation.round)


def refuse_fixed(way: Way, observation: Observation) -> None:
    """ValidationError if what was said stays as it is."""
    if is_fixed(way, observation):
        prompt = _prompt(way, observation.prompt_key)
        handed_in = prompt is not None and not way.asked_now(prompt)
        raise ValidationError(_(FIXED) if handed_in else _(FIRST_FIXED), code="fixed")


def _prompt(way: Way, key: object) -> Prompt | None:
    return next((p for p in way.prompts if str(p.key) == str(key)), None)


@transaction.atomic
def hand_in_stage(
    *, paper: Paper, student: User, stage: str, now: datetime, sure: bool = True
) -> None:
    """The stage is done: its statements stay, what it held back is open. Again: nothing.

    Not `sure`: refused once (code "too-few") where one of its prompts asks for more.
    """
    paper = locked(paper)
    if not may_write(paper, now):
        raise ValidationError(_(ALREADY_RELEASED), code="released")
    way = way_on(paper)
    if stage in way.done:
        return
    if way.current is None or way.current["kind"] != stage:
        raise ValidationError(_(NOT_HERE), code="elsewhere")
    said = _said(paper)
    short = [
        _(TOO_FEW).format(title=p.title, n=p.wanted_min - said.count(str(p.key)))
        for p in way.prompts
        if p.stage == stage and said.count(str(p.key)) < p.wanted_min
    ]
    if stage == Kind.SURVEY and way.surveying and not _surveyed(paper):
        short.append(_(NO_TABLE))
    if short and not sure:
        raise ValidationError(" ".join(short), code="too-few")
    Step.objects.create(assignment=paper.assignment, student=student, stage=stage)
    if stage == Kind.SURVEY:
        compare_survey(paper, now)
    record(student, "stage.handed-in", paper, course=paper.assignment.course, stage=stage)


@transaction.atomic
def give_first_answer(*, paper: Paper, student: User, prompt_key: str, now: datetime) -> None:
    """The first answer to a prompt that is answered twice stays. Again: nothing."""
    paper = locked(paper)
    if not may_write(paper, now):
        raise ValidationError(_(ALREADY_RELEASED), code="released")
    way = way_on(paper)
    prompt = _prompt(way, prompt_key)
    if prompt is None or prompt.asking not in TWICE or not way.asked_now(prompt):
        raise ValidationError(_(NO_SUCH_PROMPT), code="no-prompt")
    if str(prompt.key) in way.answered:
        return
    if str(prompt.key) not in _said(paper):
        raise ValidationError(_(NOTHING_SAID).format(title=prompt.title), code="nothing")
    Step.objects.create(assignment=paper.assignment, student=student, prompt_key=prompt.key)
    record(student, "first-answer.given", paper, course=paper.assignment.course)


def _said(paper: Paper) -> list[str]:
    """The prompt of each statement that stands."""
    kept = paper.observations.exclude(state=Observation.State.WITHDRAWN)
    return [str(key) for key in kept.values_list("prompt_key", flat=True)]


def _surveyed(paper: Paper) -> bool:
    return Survey.objects.filter(paper=paper).exclude(cells={}).exists()


def stages_left(way: Way) -> list[str]:
    """Kinds of the stages after the one the student is at."""
    at = way.current
    kinds = [stage["kind"] for stage in way.stages]
    return kinds[kinds.index(at["kind"]) + 1 :] if at else []


def end_last_stage(paper: Paper, student: User, now: datetime) -> None:
    """With the paper its last stage is handed in, where that one still holds something back."""
    way = way_on(paper)
    at = way.current
    if at and not stages_left(way) and (at["sound_locked"] or at["line"] or at.get("table")):
        Step.objects.get_or_create(
            assignment=paper.assignment, student=student, stage=at["kind"], prompt_key=None
        )
        compare_survey(paper, now)


def open_everything(paper: Paper) -> None:
    """A paper given back holds nothing back any more."""
    version = paper.assignment.current
    if version is None:
        return
    staged = bool(version.stages) or version.prompts.exclude(asking=Prompt.Asking.ONCE).exists()
    if staged:
        Step.objects.get_or_create(
            assignment=paper.assignment,
            student=paper.student,
            stage=Step.EVERYTHING,
            prompt_key=None,
        )
    compare_survey(paper, timezone.now())
