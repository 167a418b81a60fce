"""The tutor's word on a statement. Append-only; the last one counts."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Exists, OuterRef
from django.utils import timezone
from django.utils.translation import gettext as _

from courses.ids import as_id
from courses.models import Course, User
from courses.services.events import record
from submissions.models import Check, Flag, Observation, ObservationVersion, Paper, Ruling
from submissions.services.checks import make_current
from submissions.services.papers import release

RULED_ELSEWHERE = (
    "A ruling was given in another window meanwhile: “{flag}”. Nothing of yours is lost: "
    "what you wrote stands below. Look at both, then rule again."
)
CHANGED_MEANWHILE = (
    "This statement was changed, or checked again, while you looked at it. Nothing of yours "
    "is lost: what you wrote stands below. Look at it as it is now, then rule."
)
YOURS_TO_SAY = (
    "This one waits for your ear: set agrees, partly or conflicts, or leave it open and say so "
    "in a reply."
)
SAY_WHY = (
    "Say in a sentence what is wrong: nothing computed says so, and your student would read the "
    "bare word."
)
NOTHING_TO_ACCEPT = "There is no flag to accept yet: the check is still on its way."


def current_check(statement: ObservationVersion) -> Check | None:
    return statement.checks.filter(current=True).first()


def sight_of(statement: ObservationVersion) -> str:
    """What the tutor has before the eyes: version, ruling and check; sent back with the word."""
    ruling = statement.rulings.filter(current=True).first()
    check = current_check(statement)
    shown = (statement.number, ruling and ruling.public_id, check and check.public_id)
    return " ".join(str(n or "-") for n in shown)


def _same_sight(statement: ObservationVersion, seen: str, accepting: bool) -> None:
    """Refuse a word on what has changed; a check arriving matters only to an acceptance."""
    now, then = sight_of(statement).split(), seen.split()
    if then[1:2] != now[1:2] and then[:1] == now[:1]:
        ruling = statement.rulings.filter(current=True).first()
        flag = ruling.get_flag_display() if ruling else "-"
        raise ValidationError(_(RULED_ELSEWHERE).format(flag=flag), code="ruled-elsewhere")
    if then[:1] != now[:1] or (accepting and then != now):
        raise ValidationError(_(CHANGED_MEANWHILE), code="changed")


@transaction.atomic
def rule(
    *,
    statement: ObservationVersion,
    by: User,
    flag: str | None = None,
    level: str = "",
    reply: str = "",
    reason: str = "",
    seen: str | None = None,
    take: object = None,
) -> Ruling:
    """Accept the flag (`flag` None) or set another; with a reply if there is one.

    `seen` (`sight_of` when the page was shown) guards against a silent overwrite.
    `take`: public id of a proposal whose flag and sentence the student gets from now on.
    Whatever is ruled answers what was proposed before.
    """
    Observation.objects.select_for_update().get(pk=statement.observation_id)
    if seen is not None:
        _same_sight(statement, seen, accepting=flag is None)
    check = current_check(statement)
    if take is not None:
        check = proposed_as(statement, take)
        flag = check.flag
    if flag is None:
        if check is None:
            raise ValidationError(_(NOTHING_TO_ACCEPT), code="no-check")
        flag = check.flag
    if flag == Flag.EAR and not reply.strip():
        raise ValidationError(_(YOURS_TO_SAY), code="yours-to-say")
    if flag == Flag.CONFLICTS and (check is None or check.flag != flag) and not reply.strip():
        raise ValidationError(_(SAY_WHY), code="say-why")
    statement.rulings.filter(current=True).update(current=False)
    ruling = Ruling(
        observation_version=statement,
        check_shown=check,
        flag=flag,
        overrules=check is not None and check.flag != flag,
        level=level,
        reply=reply.strip(),
        reason=reason.strip(),
        by=by,
    )
    ruling.full_clean(exclude=["observation_version", "check_shown"])  # there may be no check yet
    ruling.save()
    if take is not None and check is not None:
        make_current(check, by_tutor=True)
    decline(statement)
    paper = statement.observation.paper
    record(by, "statement.ruled", ruling, course=paper.assignment.course, flag=flag)
    settle(paper, by)
    return ruling


def proposed_as(statement: ObservationVersion, public_id: object) -> Check:
    """The proposal the tutor had before the eyes."""
    found = statement.checks.filter(public_id=as_id(public_id), proposal=True).first()
    if found is None:
        raise ValidationError(_(CHANGED_MEANWHILE), code="changed")
    return found


def decline(statement: ObservationVersion) -> int:
    """What is proposed is not asked again; how many proposals there were."""
    return int(
        statement.checks.filter(proposal=True).update(proposal=False, left_at=timezone.now())
    )


@transaction.atomic
def leave_as_shown(*, statement: ObservationVersion, by: User, left: object) -> None:
    """Keep what the student was shown, against a newer reading."""
    Observation.objects.select_for_update().get(pk=statement.observation_id)
    check = proposed_as(statement, left)
    decline(statement)
    course = statement.observation.paper.assignment.course
    record(by, "statement.proposal-left", statement, course=course, flag=check.flag)


def unruled(paper: Paper) -> int:
    """Handed-in statements whose latest version has no ruling yet."""
    ruled = Ruling.objects.filter(
        observation_version__observation=OuterRef("pk"),
        observation_version__number=OuterRef("number"),
        current=True,
    )
    handed_in = paper.observations.filter(state=Observation.State.HANDED_IN)
    return int(handed_in.exclude(Exists(ruled)).count())


def settle(paper: Paper, by: User) -> None:
    """A wholly ruled paper waits for release; in an undated course it goes back at once."""
    if paper.state != Paper.State.HANDED_IN or unruled(paper):
        return
    paper.state = Paper.State.RULED
    paper.save(update_fields=["state"])
    if paper.assignment.course.form == Course.Form.OPEN:
        release(paper=paper, by=by)
