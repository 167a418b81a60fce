"""The shape of an assignment's draft, and what stands in the way of publishing it.

A draft is JSON: {"text", "score_version": public id, "opens_wall", "closes_wall",
"zone", "group": id|null, "settings": {}, "kinds": {}, "free_finds_min", "free_finds_max",
"prompts": [{"key", "title", "text", "kinds", "checked", "wanted_min", "wanted_max",
"shown_when_ruled", "model_answer", "movement", "first_bar", "last_bar", "stage", "asking",
"again_text"}], "stages": see courses.stages}.
"""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

PROMPT_FIELDS = ("title", "text", "kinds", "checked", "wanted_min", "wanted_max",
                 "shown_when_ruled", "model_answer", "movement", "first_bar",
                 "last_bar", "stage", "asking", "again_text")  # fmt: skip


def empty_draft() -> dict[str, Any]:
    return {"text": "", "score_version": None, "prompts": [], "zone": "UTC",
            "opens_wall": "", "closes_wall": "", "group": None, "settings": {}, "kinds": {},
            "free_finds_min": 0, "free_finds_max": 5, "stages": []}  # fmt: skip


def new_prompt(**values: Any) -> dict[str, Any]:
    """A prompt with a key that stays the same over versions."""
    prompt = {"key": str(uuid.uuid4()), "title": "", "text": "", "kinds": [], "checked": "facts",
              "wanted_min": 1, "wanted_max": 3, "shown_when_ruled": False, "model_answer": "",
              "movement": 0, "first_bar": None, "last_bar": None,
              "stage": "", "asking": "once", "again_text": ""}  # fmt: skip
    prompt.update(values)
    return prompt


def instant(wall: str, zone: str) -> datetime | None:
    """The moment a wall-clock text means in a zone; gaps and doubled hours are refused."""
    if not wall:
        return None
    if zone not in available_timezones():
        raise ValidationError(_("“{zone}” is no time zone this site knows.").format(zone=zone))
    try:
        naive = datetime.fromisoformat(wall)
        if naive.tzinfo:
            raise ValueError("a wall clock shows no offset")
    except ValueError:
        raise ValidationError(
            _("“{wall}” is no date and time; write 2026-11-26 20:00.").format(wall=wall)
        ) from None
    here = ZoneInfo(zone)
    early, late = naive.replace(tzinfo=here, fold=0), naive.replace(tzinfo=here, fold=1)
    if early.utcoffset() != late.utcoffset():
        there = early.astimezone(ZoneInfo("UTC")).astimezone(here).replace(tzinfo=None)
        text = (
            _("{wall} happens twice in {zone}: the clock is set back. Choose another time.")
            if there == naive
            else _("{wall} does not exist in {zone}: the clock is set forward. Choose another.")
        )
        raise ValidationError(text.format(wall=wall, zone=zone))
    return early
