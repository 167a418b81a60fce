"""Carrying what hangs on bars from one file of a score to another."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from django.db import transaction

from courses.models import BarMap, Note, Place, Score, ScoreVersion
from courses.places import image, nearest, parts_in

#: What a place has besides its bars, in the ids of the other file; None: it cannot go there.
More = Callable[[Any, dict[str, str]], dict[str, Any] | None]


def hold(score: Score | int) -> None:
    """Nobody writes on bars while a corrected file takes over, or the other way round."""
    pk = score if isinstance(score, int) else score.pk
    Score.objects.select_for_update().only("pk").get(pk=pk)


@transaction.atomic
def keep_map(
    old: ScoreVersion, new: ScoreVersion, bars: Iterable[int | None], parts: dict[str, str]
) -> None:
    """Keep how two files lie on each other, both ways."""
    there = list(bars)
    back: list[int | None] = [None] * len(new.canonical.outline["bars"])
    for i, j in enumerate(there):
        if j is not None:
            back[j] = i
    ways = ((old, new, there, parts), (new, old, back, {b: a for a, b in parts.items()}))
    for source, target, row, ids in ways:
        BarMap.objects.get_or_create(
            source=source, target=target, defaults={"bars": row, "parts": ids}
        )


def carry(things: Any, target: ScoreVersion, more: More) -> None:
    """Give what has no place in `target` yet its place there, or mark it as lost."""
    ways = _ways(target=target)
    known = {way.source_id: way for way in ways}
    for thing in things.select_related("version").prefetch_related("places__version"):
        at = {thing.version_id, *(p.version_id for p in thing.places.all())}
        source = None if target.pk in at else nearest(thing, target, known)
        if source is not None:
            _lay(thing, source, known[source.version_id], more)


def follow(thing: Any, place: Place, more: More) -> None:
    """Let the places in the other files follow a new one; where it cannot go they stay."""
    for way in _ways(source=place.version_id):
        _lay(thing, place, way, more)


def _ways(**which: Any) -> list[BarMap]:
    return list(BarMap.objects.filter(**which).select_related("target__canonical"))


def _lay(thing: Any, source: Any, way: BarMap, more: More) -> None:
    values, extra = image(source, way), more(source, way.parts)
    found = values is not None and extra is not None
    whole = {"place_lost": False, "from_tick": None, "to_tick": None, **(values or {}),
             **(extra or {})}  # fmt: skip
    if way.target_id != thing.version_id:
        if found:
            thing.places.update_or_create(version=way.target, defaults=whole)
        else:
            nowhere = {"place_lost": True, "first_bar": 0, "last_bar": 0, **(extra or {})}
            thing.places.get_or_create(version=way.target, defaults=nowhere)
    elif found:
        for name, value in whole.items():
            setattr(thing, name, value)
        thing.save(update_fields=list(whole))


def parts_of_a_note(place: Any, parts: dict[str, str]) -> dict[str, Any]:
    """A note goes with its bars; a part that is gone is not lit any more."""
    return {"lit": parts_in(parts, place.lit), "sounding": parts_in(parts, place.sounding)}


def carry_notes(target: ScoreVersion) -> None:
    """Notes of the score's other files get their places in this one."""
    carry(Note.objects.filter(version__score=target.score_id), target, parts_of_a_note)
