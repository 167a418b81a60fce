"""Append to the record: ids and verbs, never contents."""

from __future__ import annotations

from typing import Any

from django.db import models

from courses.models import Course, Event, User


def record(
    actor: User | None, verb: str, thing: models.Model, *, course: Course | None = None, **data: Any
) -> Event:
    """`data` holds ids, counts and states only."""
    return Event.objects.create(
        actor=actor,
        verb=verb,
        thing=type(thing).__name__,
        thing_id=str(getattr(thing, "public_id", thing.pk)),
        course=course,
        data=data,
    )
