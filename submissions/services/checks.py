"""Asking for checks, and which of them counts. The worker's side is submissions.checking."""

from __future__ import annotations

from django.db import transaction
from django.db.models import Exists, F, OuterRef
from django.utils import timezone

from analysis.engine.claims import CHECKER_VERSION
from analysis.jobs.models import Job
from analysis.jobs.queue import enqueue
from analysis.models import Overrule, OverrulePlace, Run
from analysis.selectors import current_run
from courses.models import AssignmentVersion, Course, Event, ScoreVersion
from submissions.models import Check, Observation, ObservationVersion, Paper, Ruling
from submissions.wishes import LEFT_ALONE

#: Verb of the event by which a student says how the own copy counts its bars.
EDITION_DECLARED = "edition.declared"


def _as_of(version: ScoreVersion | None, run: Run | None) -> str:
    """Names the reading and how often the tutor's word on it has changed: never the same twice."""
    if version is None:
        return f"{run.pk if run else 0}:0"
    states = Overrule.objects.filter(version__score=version.score_id).values_list(
        "state", flat=True
    )
    weights = {Overrule.State.DECIDED: 1, Overrule.State.WITHDRAWN: 2}
    changes = sum(weights.get(Overrule.State(state), 0) for state in states)
    changes += OverrulePlace.objects.filter(version=version, place_lost=False).count()
    return f"{run.pk if run else 0}:{changes}"


def _edition_of(statement: ObservationVersion) -> str:
    """Changes whenever the student declares another edition."""
    paper = statement.observation.paper
    said = Event.objects.filter(
        verb=EDITION_DECLARED, actor=paper.student_id, course=paper.assignment.course_id
    ).count()
    return f":e{said}" if said else ""


def ask_check(statement: ObservationVersion, *, klass: str = Job.Klass.INTERACTIVE) -> Job:
    """Queue the check of a statement against the score's reading as it is now."""
    assignment = statement.observation.paper.assignment
    run = current_run(statement.version) if statement.version else None
    return enqueue(
        "check",
        key=f"check:{statement.pk}:{_as_of(statement.version, run)}:{assignment.current_id}"
        f"{_edition_of(statement)}:c{CHECKER_VERSION}",
        payload={"statement": statement.pk},
        klass=klass,
        tutor=assignment.course.tutor,
    )


def ask_recheck(
    version: ScoreVersion, run: Run | None, reason: str, published: AssignmentVersion | None = None
) -> Job:
    """Queue one job that re-checks every statement on a score."""
    return enqueue(
        "recheck",
        key=f"recheck:{version.pk}:{_as_of(version, run)}:{published.pk if published else 0}"
        f":c{CHECKER_VERSION}",
        payload={"version": version.pk, "reason": reason},
        klass=Job.Klass.BULK,
        tutor=version.score.tutor,
    )


@transaction.atomic
def renew() -> int:
    """Queue a re-check of every score with a flag of another checker; how many scores."""
    made = Check.objects.filter(observation_version=OuterRef("pk"))
    old = ObservationVersion.objects.filter(
        Exists(made),
        ~Exists(made.filter(checker_version=CHECKER_VERSION)),
        observation__state=Observation.State.HANDED_IN,
        number=F("observation__number"),
    ).values("version")
    asked = 0
    for version in ScoreVersion.objects.filter(pk__in=old).select_related("score__tutor"):
        if run := current_run(version):
            ask_recheck(version, run, "checker")
            asked += 1
    return asked


def make_current(check: Check, *, by_tutor: bool = False) -> None:
    """Let this check of its statement count; one that counted before may become a proposal.

    `by_tutor`: it was chosen, so nothing is left to propose.
    """
    others = Check.objects.filter(observation_version=check.observation_version_id, current=True)
    for other in others.exclude(pk=check.pk):
        other.current = False
        other.proposal = not by_tutor and is_settled(check) and differs(other, check)
        other.save(update_fields=["current", "proposal"])
        check.before, check.since = other, timezone.now()
    if check.since is None:
        check.since = timezone.now()
    check.current, check.proposal = True, False
    check.save(update_fields=["current", "proposal", "before", "since"])


def propose(check: Check, settled: Check) -> None:
    """Leave the settled check as it is; tell the tutor if this one says something else.

    Not what the tutor has declined before, nor that nothing is compared any more.
    """
    no_proposal(check.observation_version)
    declined = Check.objects.filter(
        observation_version=check.observation_version_id,
        flag=check.flag,
        cause=check.cause,
        left_at__isnull=False,
    )
    check.proposal = differs(check, settled) and check.cause != LEFT_ALONE and not declined.exists()
    check.save(update_fields=["proposal"])


def no_proposal(statement: ObservationVersion) -> None:
    """Nothing is proposed about the statement (any more)."""
    Check.objects.filter(observation_version=statement, proposal=True).update(proposal=False)


def differs(one: Check, other: Check) -> bool:
    return (one.flag, one.cause) != (other.flag, other.cause)


def is_settled(check: Check) -> bool:
    """Shown to the student, or the paper is given back, or the course is over: it stays."""
    paper = check.observation_version.observation.paper
    return (
        check.shown_at is not None
        or paper.state == Paper.State.RELEASED
        or is_over(paper.assignment.course)
    )


def is_over(course: Course) -> bool:
    return course.ends_on is not None and course.ends_on < timezone.localdate()


def keep_what_was_ruled_on(paper: Paper) -> None:
    """From release on, the check the tutor ruled on is the one that counts."""
    rulings = Ruling.objects.filter(
        observation_version__observation__paper=paper,
        observation_version__number=F("observation_version__observation__number"),
        current=True,
        check_shown__current=False,
    ).select_related("check_shown__observation_version__observation__paper__assignment__course")
    for ruling in rulings:
        if ruling.check_shown:
            make_current(ruling.check_shown)
