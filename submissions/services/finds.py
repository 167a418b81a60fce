"""Finds and the turns of their threads."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from courses.models import Course, ScoreVersion, User
from courses.services.events import record
from submissions.models import Find, Message, Observation

OTHER_THREAD = "This was already sent elsewhere. Load the page again, then send."


@transaction.atomic
def send_find(
    *,
    student: User,
    course: Course,
    version: ScoreVersion,
    client_key: str,
    first_bar: int,
    last_bar: int,
    text: str,
    movement: int = 0,
    title: str = "",
    parts: list[dict[str, Any]] | None = None,
    shown_to_group: bool = False,
) -> Find:
    """Send a message on a place in a score; the same key twice is one find."""
    if not text.strip():
        raise ValidationError({"text": _("Say what you found.")})
    known = Find.objects.filter(student=student, client_key=client_key).first()
    if known:
        return known
    find = Find(
        student=student, course=course, version=version, client_key=client_key,
        movement=movement, first_bar=first_bar, last_bar=last_bar, title=title,
        parts=parts or [], shown_to_group=shown_to_group,
    )  # fmt: skip
    find.full_clean(exclude=["student", "course", "version"])
    find.save()
    Message.objects.create(find=find, author=student, client_key=client_key, text=text.strip())
    record(student, "find.sent", find, course=course)
    return find


@transaction.atomic
def answer(
    *,
    author: User,
    client_key: str,
    text: str,
    find: Find | None = None,
    observation: Observation | None = None,
) -> Message:
    """Add a turn to a thread; the same key twice is one message."""
    if not text.strip():
        raise ValidationError({"text": _("Write something first.")})
    if known := _known(author, client_key, find, observation):
        return known
    try:
        with transaction.atomic():
            message = Message.objects.create(
                author=author, client_key=client_key, text=text.strip(), find=find,
                observation=observation,
            )  # fmt: skip
    except IntegrityError:
        if known := _known(author, client_key, find, observation):
            return known
        raise
    if find and author.pk != find.student_id:
        find.answered_at = timezone.now()
        find.save(update_fields=["answered_at"])
    record(author, "message.sent", message)
    return message


def _known(
    author: User, client_key: str, find: Find | None, observation: Observation | None
) -> Message | None:
    """The message that came with this key before; a key of another thread is refused."""
    known = Message.objects.filter(author=author, client_key=client_key).first()
    if known and (known.find_id, known.observation_id) != (
        find.pk if find else None,
        observation.pk if observation else None,
    ):
        raise ValidationError(_(OTHER_THREAD), code="other-thread")
    return known
