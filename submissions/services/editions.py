"""How a student's own copy counts its bars."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from courses.models import Course, Enrolment, User
from courses.services.events import record
from submissions.models import Observation, ObservationVersion
from submissions.services.checks import EDITION_DECLARED, ask_check

MOST = 500  # bars; a copy that begins with another movement
NO_OFFSET = "Write how many bars more your copy counts: a whole number such as 4, or -1 for fewer."


def enrolment_of(student: User, course: Course) -> Enrolment | None:
    return Enrolment.objects.active().students().filter(user=student, course=course).first()


@transaction.atomic
def declare(*, enrolment: Enrolment, offset: str) -> Enrolment:
    """Keep the offset; what the student has handed in is compared again."""
    try:
        bars = int(offset.strip() or "0")
    except ValueError:
        raise ValidationError(_(NO_OFFSET)) from None
    if abs(bars) > MOST:
        raise ValidationError(_(NO_OFFSET))
    if bars == enrolment.bar_offset:
        return enrolment
    enrolment.bar_offset = bars
    enrolment.save(update_fields=["bar_offset"])
    record(enrolment.user, EDITION_DECLARED, enrolment, course=enrolment.course, bars=bars)
    for statement in _handed_in(enrolment):
        ask_check(statement)
    return enrolment


def _handed_in(enrolment: Enrolment) -> list[ObservationVersion]:
    statements = ObservationVersion.objects.filter(
        observation__student=enrolment.user_id,
        observation__paper__assignment__course=enrolment.course_id,
        observation__state=Observation.State.HANDED_IN,
    ).select_related("observation__paper__assignment__course__tutor", "version")
    return [s for s in statements if s.number == s.observation.number]
