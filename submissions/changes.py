"""Flags that are not what they were: old and new, why, and what waits for the tutor."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Exists, F, OuterRef, Q, Subquery
from django.utils.translation import gettext as _

from analysis.jobs.models import Job
from analysis.models import Run
from courses.models import Assignment, User
from submissions.causes import in_words
from submissions.models import Check, Observation, ObservationVersion, Ruling
from submissions.reasons import Basis, Reasons
from submissions.services.checks import differs
from submissions.standing import standings_of

_HEAVY = ("answer", "sentences", "before__answer", "before__sentences")


@dataclass
class Change:
    """One statement whose flag is another: `settled` where the old one was shown and stays."""

    statement: ObservationVersion
    old: Check
    new: Check
    ruling: Ruling | None
    settled: bool
    why: list[str] = field(default_factory=list)

    @property
    def asks(self) -> bool:
        """Whether it waits for the tutor: what was ruled on, or shown, is not what is said now."""
        return self.settled or self.ruling is not None


@dataclass(frozen=True)
class Stale:
    """Statements whose check is made of what does not stand any more, and why."""

    count: int
    why: list[str]


def changes_of(assignment: Assignment) -> list[Change]:
    """All of an assignment, those that wait for the tutor first; few questions, however many."""
    checks = Check.objects.filter(
        Q(current=True) | Q(proposal=True),
        observation_version__in=_latest(assignment),
    )
    rulings = Ruling.objects.filter(observation_version__in=_latest(assignment), current=True)
    found = _pairs(checks, rulings)
    return _with_reasons(sorted(found, key=lambda c: (not c.asks, c.statement.observation_id)))


def change_of(statement: ObservationVersion) -> Change | None:
    """The same of one statement."""
    checks = Check.objects.filter(Q(current=True) | Q(proposal=True), observation_version=statement)
    rulings = Ruling.objects.filter(observation_version=statement, current=True)
    return next(iter(_with_reasons(_pairs(checks, rulings))), None)


def _latest(assignment: Assignment) -> Any:
    return ObservationVersion.objects.filter(
        observation__paper__assignment=assignment,
        observation__state=Observation.State.HANDED_IN,
        number=F("observation__number"),
    )


def _pairs(checks: Any, rulings: Any) -> list[Change]:
    current: dict[int, Check] = {}
    proposed: dict[int, Check] = {}
    rows = checks.select_related("observation_version__observation__student", "before")
    for check in rows.defer(*_HEAVY):
        (current if check.current else proposed)[check.observation_version_id] = check
    word = {
        r.observation_version_id: r
        for r in rulings.select_related("check_shown").defer(
            "check_shown__answer", "check_shown__sentences"
        )
    }
    found = []
    for pk, check in current.items():
        ruling = word.get(pk)
        old, new, settled = None, check, False
        if pk in proposed:
            old, new, settled = check, proposed[pk], True
        elif ruling is not None:
            old = ruling.check_shown
        else:
            old = check.before
        if old is not None and old.pk != new.pk and differs(old, new):
            found.append(Change(check.observation_version, old, new, ruling, settled))
    return found


def _with_reasons(changes: list[Change]) -> list[Change]:
    pairs = [(Basis.of(c.old), Basis.of(c.new)) for c in changes]
    reasons = Reasons(pairs)
    for change, (old, new) in zip(changes, pairs, strict=True):
        change.why = reasons.why(old, new, span_of(change.statement))
        if change.old.flag == change.new.flag:
            said = _(
                "The flag is the same; what is said of it is another: “{new}” instead of “{old}”."
            )
            words = {"new": in_words(change.new.cause), "old": in_words(change.old.cause)}
            change.why.insert(0, said.format(**words))
    return changes


def span_of(statement: ObservationVersion) -> tuple[int, int] | None:
    if statement.first_bar is None:
        return None
    last = statement.last_bar
    return statement.first_bar, statement.first_bar if last is None else last


def stale_of(assignment: Assignment) -> Stale:
    """Checks that are being made again: what they say is from before."""
    statements = list(_latest(assignment).select_related("observation", "version"))
    return _stale(assignment, statements)


def why_stale(assignment: Assignment, statement: ObservationVersion) -> list[str]:
    """Why the check of one statement is from before; empty if it is as things stand."""
    return _stale(assignment, [statement]).why


def _stale(assignment: Assignment, statements: list[ObservationVersion]) -> Stale:
    standings = standings_of(assignment, statements)
    of = {s.pk: s for s in statements}
    made: dict[int, list[Check]] = {}
    for check in Check.objects.filter(observation_version__in=of).defer("answer", "sentences"):
        made.setdefault(check.observation_version_id, []).append(check)
    read_again = _being_read_again({s.version_id for s in statements if s.version_id})
    pairs, count = [], 0
    for pk, checks in made.items():
        current = next((c for c in checks if c.current), None)
        if current is None or (current.run_id is None and standings[pk].run is None):
            continue  # no reading was looked at, and none is
        if of[pk].version_id in read_again and current.run_id is not None:
            count += 1
        # A settled check stays; whatever was made of how things stand now is not awaited.
        elif not any(standings[pk].made(check) for check in checks):
            pairs.append((Basis.of(current), Basis.now(standings[pk]), span_of(of[pk])))
    told = [_("The score is being read again, with its parts as they are now.")] if count else []
    reasons = Reasons((old, new) for old, new, _span in pairs)
    why = Counter(said for old, new, span in pairs for said in reasons.why(old, new, span))
    return Stale(count + len(pairs), [*told, *(said for said, _n in why.most_common())])


def _being_read_again(files: set[int]) -> set[int]:
    """Files with a newer reading on its way than the one in use."""
    return set(
        Run.objects.filter(copy__version__in=files, state=Run.State.WAITING).values_list(
            "copy__version", flat=True
        )
    )


def stopped(assignment: Assignment) -> list[Job]:
    """Comparisons that have stopped and can be tried again, of statements that still want one."""
    jobs = list(
        Job.objects.filter(
            kind__in=("check", "recheck"), state=Job.State.FAILED, tutor=assignment.course.tutor_id
        ).order_by("-pk")
    )
    if not jobs:
        return []
    statements = list(_latest(assignment).select_related("observation", "version"))
    standings = standings_of(assignment, statements)
    fresh = {
        check.observation_version_id
        for check in Check.objects.filter(observation_version__in=statements)
        if standings[check.observation_version_id].made(check)
    }
    own = {s.pk: s.version_id for s in statements if s.pk not in fresh}
    files = set(own.values())
    return [
        job
        for job in jobs
        if job.payload.get("statement") in own
        or (job.kind == "recheck" and job.payload.get("version") in files)
    ]


def waiting(user: User) -> dict[int, int]:
    """Of each of the tutor's assignments (by id): flags that changed after a ruling or release."""
    own = {
        "observation_version__number": F("observation_version__observation__number"),
        "observation_version__observation__state": Observation.State.HANDED_IN,
        "observation_version__observation__paper__assignment__course__tutor": user,
    }
    of = "observation_version__observation__paper__assignment"
    proposed = Check.objects.filter(proposal=True, **own).values_list(of, flat=True)
    here = Check.objects.filter(observation_version=OuterRef("observation_version"))
    now = here.filter(current=True)
    changed = (
        Ruling.objects.filter(current=True, check_shown__current=False, **own)
        .annotate(
            flag_now=Subquery(now.values("flag")[:1]), cause_now=Subquery(now.values("cause")[:1])
        )
        .exclude(check_shown__flag=F("flag_now"), check_shown__cause=F("cause_now"))
        .exclude(Exists(here.filter(proposal=True)))
        .values_list(of, flat=True)
    )
    return dict(Counter([*proposed, *changed]))
