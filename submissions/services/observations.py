"""Statements: drafts saved, changed, taken back. Every save is a version."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from courses.models import User
from courses.services.events import record
from submissions.models import Observation, ObservationVersion, Paper
from submissions.services.checks import ask_check
from submissions.services.opening import ALREADY_RELEASED, locked, may_write
from submissions.services.rulings import settle
from submissions.services.stages import (
    refuse_closed,
    refuse_fixed,
    refuse_unasked,
    round_for,
    way_on,
)

NO_NUMBER = (
    "This statement is kept already. Say which version you have changed (If-Match); "
    "nothing was overwritten."
)
CHANGED_MEANWHILE = "This statement was changed in another window; both texts are kept."
FIELDS = ("kind", "claim", "words", "sense", "doubt", "movement", "first_bar", "last_bar",
          "from_tick", "to_tick", "pass_number")  # fmt: skip


class Stale(ValidationError):
    """If-Match failed. `theirs` is what stands on the server."""

    def __init__(self, theirs: ObservationVersion) -> None:
        super().__init__(_(CHANGED_MEANWHILE), code="stale")
        self.theirs = theirs


class Unnumbered(ValidationError):
    """A change of something kept that doesn't say of which version."""


def latest(observation: Observation) -> ObservationVersion:
    return observation.versions.get(number=observation.number)


def _write(observation: Observation, paper: Paper, values: dict[str, Any]) -> ObservationVersion:
    version = ObservationVersion(observation=observation, number=observation.number)
    assert paper.assignment.current is not None
    version.version = paper.assignment.current.score_version
    for name in FIELDS:
        if name in values:
            setattr(version, name, values[name])
    version.full_clean(exclude=["observation"])
    version.save()
    return version


@transaction.atomic
def save_statement(
    *,
    paper: Paper,
    student: User,
    client_key: str,
    values: dict[str, Any],
    prompt_key: str | None = None,
    if_match: int | None = None,
    now: datetime | None = None,
) -> Observation:
    """Create the statement `client_key`, or save a new version of it.

    A change names the version it was made from: `if_match`; 0 = "I take it for new".
    A retry with the same key and the same content changes nothing.
    """
    paper = locked(paper)
    if not may_write(paper, now or timezone.now()):
        raise ValidationError(_(ALREADY_RELEASED), code="released")
    way = way_on(paper)
    refuse_unasked(way, prompt_key)
    if unknown := set(values) - set(FIELDS):
        raise ValidationError(f"A statement has no {', '.join(sorted(unknown))}.")
    known = Observation.objects.filter(paper=paper, student=student, client_key=client_key).first()
    if known is None:
        observation = Observation(
            paper=paper, student=student, client_key=client_key, prompt_key=prompt_key,
            round=round_for(way, prompt_key, values.get("kind", "")),
        )  # fmt: skip
        try:
            with transaction.atomic():
                observation.save()
        except IntegrityError:  # the same key from two requests at once
            return save_statement(
                paper=paper, student=student, client_key=client_key, values=values,
                prompt_key=prompt_key, if_match=if_match, now=now,
            )  # fmt: skip
        _write(observation, paper, values)
        return observation
    return _next_version(known, paper, values, if_match)


def _next_version(
    observation: Observation, paper: Paper, values: dict[str, Any], if_match: int | None
) -> Observation:
    before = latest(observation)
    if all(getattr(before, name) == value for name, value in values.items()):
        return observation
    way = way_on(paper)
    refuse_closed(way, values.get("kind", before.kind))
    refuse_fixed(way, observation)
    if if_match is None:
        raise Unnumbered(_(NO_NUMBER), code="no-number")
    if if_match != observation.number:
        raise Stale(before)
    moved = Observation.objects.filter(pk=observation.pk, number=observation.number).update(
        number=observation.number + 1
    )
    observation.refresh_from_db()
    if not moved:
        raise Stale(latest(observation))
    carried = {name: getattr(before, name) for name in FIELDS}
    version = _write(observation, paper, {**carried, **values})
    if observation.state == Observation.State.HANDED_IN:
        ask_check(version)
        if paper.state == Paper.State.RULED:
            paper.state = Paper.State.HANDED_IN
            paper.save(update_fields=["state"])
    return observation


@transaction.atomic
def take_back(*, observation: Observation, student: User, now: datetime | None = None) -> None:
    """Withdraw a statement; its versions stay on the record."""
    paper = locked(observation.paper)
    if not may_write(paper, now or timezone.now()):
        raise ValidationError(_(ALREADY_RELEASED), code="released")
    refuse_fixed(way_on(paper), observation)
    if observation.state == Observation.State.WITHDRAWN:
        return
    observation.state = Observation.State.WITHDRAWN
    observation.save(update_fields=["state"])
    record(student, "statement.taken-back", observation, course=paper.assignment.course)
    settle(paper, by=paper.assignment.course.tutor)  # it may have been the last one to rule on
