"""Who may see what: `may_see(user, thing, now)` is the only door.

Rules (the project's contract 5.5): answers belong to a student's own paper and
show after its release; in an undated course, and for prompts marked so, as soon
as the tutor has ruled. Of prompts "flagged for me alone" a student sees the ruling and the
reply, never the computed sentence. While any open dated assignment of a student covers bars,
answers about those bars stay hidden everywhere, except what was already shown on
an own paper. An extension never sees answers early.

An assignment is open to a student until it closes for that student, or until the
student's own paper is given back; with a running extension, until that ends.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any, TypeVar

from django.db.models import F, Q

from analysis.models import Run
from courses.models import (
    Assignment,
    AssignmentVersion,
    BarMap,
    Course,
    Enrolment,
    Extension,
    Note,
    Prompt,
    Score,
    User,
)
from courses.places import reach_of
from submissions.models import (
    Check,
    Find,
    Message,
    Observation,
    ObservationVersion,
    Paper,
    Ruling,
    Survey,
)
from submissions.wishes import hides, kind_wish, more_cautious

Thing = TypeVar("Thing")
Spans = dict[int, list[tuple[int, int]]]  # score version -> bars, first and last


@dataclass(frozen=True)
class Answers:
    """What the computed reading says about bars: findings, descriptions, counts."""

    run: Run
    first: int
    last: int


@dataclass(frozen=True)
class ModelAnswer:
    """The tutor's own answer to a prompt."""

    prompt: Prompt
    paper: Paper


def is_tutor_of(user: User, course: Course) -> bool:
    return course.tutor_id == user.pk


def role_in(user: User, course: Course) -> str:
    """Return "tutor", "assistant", "student" or "" (guardians have no pages yet)."""
    if is_tutor_of(user, course):
        return "tutor"
    found = Enrolment.objects.filter(course=course, user=user, state=Enrolment.State.ACTIVE).first()
    return found.role if found and found.role in {"assistant", "student"} else ""


def closes_at(version: AssignmentVersion, student: User) -> datetime | None:
    """When the assignment closes for this student; None = never."""
    own = Extension.objects.filter(assignment=version.assignment_id, student=student).first()
    if own and (version.closes_at is None or own.closes_at > version.closes_at):
        return own.closes_at
    return version.closes_at


def _spans(prompts: Any) -> Spans:
    """By file; in the score's other files the same bars count, and what was put between them."""
    found: Spans = defaultdict(list)
    rows = list(prompts.values_list("version", "version__score__versions", "first_bar", "last_bar"))
    elsewhere = {(asked, file) for asked, file, _first, _last in rows if asked != file}
    ways = {
        (way.source_id, way.target_id): way.bars
        for way in BarMap.objects.filter(source__in={asked for asked, _file in elsewhere})
    } if elsewhere else {}  # fmt: skip
    for asked, file, first, last in rows:
        bars = ways.get((asked, file))
        found[file].append(reach_of(bars, first, last) if bars else (first, last))
    return found


def _touches(spans: Spans, version: int | None, first: int | None, last: int | None) -> bool:
    if version is None or first is None:
        return False
    end = first if last is None else last
    return any(a <= end and b >= first for a, b in spans.get(version, ()))


class Eyes:
    """One person at one moment; remembers what it has looked up, for many things at once."""

    def __init__(self, user: User, now: datetime) -> None:
        self.user, self.now = user, now
        self._roles: dict[int, str] = {}
        self._prompts: dict[int, dict[Any, tuple[bool, str]]] = {}
        self._kinds: dict[int, dict[str, str]] = {}

    def may_see(self, thing: object) -> bool:
        """An unknown kind of thing is a TypeError."""
        try:
            rule = _RULES[type(thing)]
        except KeyError:
            raise TypeError(f"may_see has no rule for {type(thing).__name__}.") from None
        return bool(self.user.is_authenticated and rule(self, thing))

    # --- what the rules ask ---------------------------------------------------

    def role(self, course: Course) -> str:
        if course.pk not in self._roles:
            self._roles[course.pk] = role_in(self.user, course)
        return self._roles[course.pk]

    def teaches(self, course: Course) -> bool:
        return self.role(course) in {"tutor", "assistant"}

    @cached_property
    def extensions(self) -> dict[int, datetime]:
        return {e.assignment_id: e.closes_at for e in self.user.extensions.all()}

    def _asked(self) -> Any:
        """Prompts of the dated assignments that reach the person."""
        return Prompt.objects.filter(
            assignment_version__assignment__in=Assignment.objects.reachable_by(self.user),
            assignment_version__assignment__course__form=Course.Form.DATED,
            assignment_version__assignment__current=F("assignment_version"),
        )

    @cached_property
    def _open(self) -> Spans:
        late = [a for a, closing in self.extensions.items() if closing > self.now]
        given_back = Paper.objects.filter(student=self.user, state=Paper.State.RELEASED)
        return _spans(
            self._asked().filter(
                Q(assignment_version__assignment__in=late)
                | Q(assignment_version__closes_at__gt=self.now)
                & ~Q(assignment_version__assignment__in=given_back.values("assignment"))
            )
        )

    @cached_property
    def _not_given_back(self) -> Spans:
        """Of the own paper, or, if there is none, of anybody's."""
        own = Paper.objects.filter(student=self.user)
        back = Paper.objects.filter(state=Paper.State.RELEASED)
        return _spans(
            self._asked()
            .exclude(
                assignment_version__assignment__in=own.filter(state=Paper.State.RELEASED).values(
                    "assignment"
                )
            )
            .exclude(
                ~Q(assignment_version__assignment__in=own.values("assignment")),
                assignment_version__assignment__in=back.values("assignment"),
            )
        )

    def covered(self, version: int | None, first: int | None, last: int | None) -> bool:
        """Whether an open dated assignment asks about any of these bars."""
        return _touches(self._open, version, first, last)

    def awaits_release(self, version: int, first: int, last: int) -> bool:
        """Whether one asks about them that is open, or closed and not given back yet."""
        return any(_touches(spans, version, first, last)
                   for spans in (self._open, self._not_given_back))  # fmt: skip

    @cached_property
    def _given_back(self) -> tuple[Spans, Spans]:
        """Bars asked about on own papers that were given back, and bars that still keep something.

        The second: a paper of an undated course is not given back yet, or the tutor wants the
        computed word for itself.
        """
        released = Paper.objects.filter(student=self.user, state=Paper.State.RELEASED)
        asked = Prompt.objects.filter(
            assignment_version__assignment__in=Assignment.objects.reachable_by(self.user),
            assignment_version__assignment__current=F("assignment_version"),
        ).select_related("assignment_version")
        back = Q(assignment_version__assignment__in=released.values("assignment"))
        kept = [
            prompt.pk
            for prompt in asked.filter(back)
            if prompt.checked != Prompt.Checked.FACTS
            or any(w != Prompt.Checked.FACTS for w in prompt.assignment_version.kinds.values())
        ]
        return (
            _spans(asked.filter(back).exclude(pk__in=kept)),
            _spans(asked.filter(~back | Q(pk__in=kept))),
        )

    def answered(self, version: int, first: int, last: int) -> list[tuple[int, int]]:
        """Of bars `first` to `last` those a student has all the answers to, as spans.

        Asked about on an own paper that was given back, and on no other that is not.
        """
        back, kept = self._given_back
        if version not in back:
            return []
        found: list[tuple[int, int]] = []
        for bar in range(first, last + 1):
            if not _touches({version: back[version]}, version, bar, bar):
                continue
            if _touches(kept, version, bar, bar) or self.awaits_release(version, bar, bar):
                continue
            if found and found[-1][1] == bar - 1:
                found[-1] = (found[-1][0], bar)
            else:
                found.append((bar, bar))
        return found

    def at_once(self, paper: Paper, prompt_key: Any) -> bool:
        """Whether the tutor's ruling alone shows the answer: no release is waited for."""
        if paper.assignment.course.form == Course.Form.OPEN:
            return True
        return self._asked_for(paper, prompt_key)[0]

    def _asked_for(self, paper: Paper, prompt_key: Any) -> tuple[bool, str]:
        """Of the prompt as it stands: shown when ruled?, and how far it is compared."""
        version = paper.assignment.current_id
        if version is None or prompt_key is None:
            return False, Prompt.Checked.FACTS
        if version not in self._prompts:
            rows = Prompt.objects.filter(assignment_version=version)
            self._prompts[version] = {
                key: (at_once, wish)
                for key, at_once, wish in rows.values_list("key", "shown_when_ruled", "checked")
            }
        return self._prompts[version].get(prompt_key, (False, Prompt.Checked.FACTS))

    def keeps_back(self, check: Check) -> bool:
        """Whether the computed sentence and notes are the tutor's alone (`submissions.wishes`)."""
        observation = check.observation_version.observation
        paper = observation.paper
        if self.teaches(paper.assignment.course):
            return False
        asked = self._asked_for(paper, observation.prompt_key)[1]
        of_kind = kind_wish(self._kinds_of(paper), check.observation_version.kind)
        return hides(more_cautious(asked, of_kind), check)

    def _kinds_of(self, paper: Paper) -> dict[str, str]:
        """How far each kind is compared in the paper's assignment as it stands."""
        version = paper.assignment.current_id
        if version is None:
            return {}
        if version not in self._kinds:
            rows = AssignmentVersion.objects.filter(pk=version).values_list("kinds", flat=True)
            self._kinds[version] = rows.first() or {}
        return self._kinds[version]


def _score(eyes: Eyes, score: Score) -> bool:
    return Score.objects.readable_by(eyes.user).filter(pk=score.pk).exists()


def _note(eyes: Eyes, note: Note) -> bool:
    if note.author_id == eyes.user.pk:
        return True
    if note.state != Note.State.PUBLISHED or note.course is None:
        return False
    if eyes.teaches(note.course):
        return True
    if eyes.role(note.course) != "student":
        return False
    hidden = note.after_release and eyes.awaits_release(
        note.version_id, note.first_bar, note.last_bar
    )
    return not hidden


def _paper(eyes: Eyes, paper: Paper) -> bool:
    course = paper.assignment.course
    if paper.student_id == eyes.user.pk:
        return eyes.role(course) == "student"
    return eyes.teaches(course)


def _observation(eyes: Eyes, observation: Observation) -> bool:
    return _paper(eyes, observation.paper) and (
        observation.student_id == eyes.user.pk or observation.state != Observation.State.DRAFT
    )


def _answer_on(eyes: Eyes, statement: ObservationVersion, ruled: bool, shown: bool) -> bool:
    """Flags, sentences, replies on a statement."""
    observation = statement.observation
    paper = observation.paper
    if eyes.teaches(paper.assignment.course):
        return True
    if observation.student_id != eyes.user.pk or eyes.role(paper.assignment.course) != "student":
        return False
    if shown:
        return True
    if eyes.covered(statement.version_id, statement.first_bar, statement.last_bar):
        return False
    if eyes.extensions.get(paper.assignment_id, eyes.now) > eyes.now:
        return False
    if paper.state == Paper.State.RELEASED:
        return True
    return ruled and eyes.at_once(paper, observation.prompt_key)


def _check(eyes: Eyes, check: Check) -> bool:
    statement = check.observation_version
    if eyes.keeps_back(check):
        return False
    ruled = statement.rulings.filter(current=True).exists()
    return _answer_on(eyes, statement, ruled, check.shown_at is not None)


def _ruling(eyes: Eyes, ruling: Ruling) -> bool:
    shown = ruling.check_shown is not None and ruling.check_shown.shown_at is not None
    return _answer_on(eyes, ruling.observation_version, ruling.current, shown)


def _find(eyes: Eyes, find: Find) -> bool:
    role = eyes.role(find.course)
    if role in {"tutor", "assistant"} or find.student_id == eyes.user.pk:
        return bool(role)
    return (
        role == "student"
        and find.shown_to_group
        and not eyes.covered(find.version_id, find.first_bar, find.last_bar)
    )


def _message(eyes: Eyes, message: Message) -> bool:
    """Threads are between the student and the tutor's side, on the record."""
    if message.find is not None:
        course, owner = message.find.course, message.find.student_id
    else:
        assert message.observation is not None
        course = message.observation.paper.assignment.course
        owner = message.observation.student_id
    role = eyes.role(course)
    return role in {"tutor", "assistant"} or (role == "student" and owner == eyes.user.pk)


def _answers(eyes: Eyes, answers: Answers) -> bool:
    """Computed findings are the tutor's side's; students see those of their own answers."""
    score = answers.run.copy.version.score
    if score.tutor_id == eyes.user.pk:
        return True
    return Enrolment.objects.filter(
        course__scores=score, user=eyes.user, state="active", role="assistant"
    ).exists()


def _model_answer(eyes: Eyes, answer: ModelAnswer) -> bool:
    paper, prompt = answer.paper, answer.prompt
    course = paper.assignment.course
    if eyes.teaches(course):
        return True
    return (
        paper.student_id == eyes.user.pk
        and eyes.role(course) == "student"
        and paper.state == Paper.State.RELEASED
        and not eyes.covered(prompt.version_id, prompt.first_bar, prompt.last_bar)
    )


def _survey(eyes: Eyes, survey: Survey) -> bool:
    """What the page says beside a survey's cells; the cells themselves are a paper's."""
    paper = survey.paper
    course = paper.assignment.course
    if eyes.teaches(course):
        return True
    mine = paper.student_id == eyes.user.pk and eyes.role(course) == "student"
    version = paper.assignment.current
    if not mine or paper.state != Paper.State.RELEASED or version is None:
        return False
    asked = version.prompts.values_list("version", "first_bar", "last_bar")
    return not any(eyes.covered(*span) for span in asked)


_RULES: dict[type, Callable[[Eyes, Any], bool]] = {
    Answers: _answers,
    Check: _check,
    Find: _find,
    Message: _message,
    ModelAnswer: _model_answer,
    Note: _note,
    Observation: _observation,
    Paper: _paper,
    Ruling: _ruling,
    Score: _score,
    Survey: _survey,
}


def may_see(user: User, thing: object, now: datetime) -> bool:
    """Whether `user` may see `thing` at `now`. An unknown kind of thing is a TypeError."""
    return Eyes(user, now).may_see(thing)


def seen_of(user: User, things: Iterable[Thing], now: datetime) -> list[Thing]:
    """Those of many things that `user` may see, with few questions to the database."""
    eyes = Eyes(user, now)
    return [thing for thing in things if eyes.may_see(thing)]
