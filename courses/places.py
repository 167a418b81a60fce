"""Places of one score in its several files: carried over, or lost."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from courses.bars import movement_of
from courses.models import BarMap, Note, Place, ScoreVersion

Bars = list[int | None]
Row = dict[str, Any]


def span_in(bars: Bars, first: int, last: int) -> tuple[int, int] | None:
    """The same bars in the other file; None if the first or the last is not there."""
    if not 0 <= first <= last < len(bars):
        return None
    a, b = bars[first], bars[last]
    return None if a is None or b is None else (a, b)


def left_of(bars: Bars, first: int, last: int) -> tuple[int, int] | None:
    """What is left of a lost span: from its first to its last bar that is still there."""
    there = [b for b in bars[first : last + 1] if b is not None]
    return (there[0], there[-1]) if there else None


def reach_of(bars: Bars, first: int, last: int) -> tuple[int, int]:
    """Bars of the other file that may stand for these: up to the next neighbours, exclusive."""
    before = [b for b in bars[:first] if b is not None]
    after = [b for b in bars[last + 1 :] if b is not None]
    low = before[-1] + 1 if before else 0
    return low, max(low, after[0] - 1) if after else max([low, last, *_known(bars)])


def _known(bars: Bars) -> list[int]:
    return [b for b in bars if b is not None]


def parts_in(parts: dict[str, str], rows: Iterable[Row]) -> list[Row]:
    """Parts by their ids in the other file; those that are gone are left out."""
    return [{**row, "part": parts[row["part"]]} for row in rows if row["part"] in parts]


def image(place: Place, way: BarMap) -> Row | None:
    """The place in the target of `way`, in whole bars; None if it is lost there."""
    span = span_in(way.bars, place.first_bar, place.last_bar)
    if span is None:
        return None
    outline = way.target.canonical.outline
    movement = movement_of(span[0], outline)
    if movement_of(span[1], outline) != movement:
        return None
    return {
        "movement": movement,
        "first_bar": span[0],
        "last_bar": span[1],
        "pass_number": place.pass_number,
    }


def places_of(thing: Any) -> list[Any]:
    """Where a note or a word stands: in its own file first, then in the others."""
    return [p for p in (thing, *thing.places.all()) if not p.place_lost]


def nearest(thing: Any, target: ScoreVersion, known: Iterable[int] | None = None) -> Any:
    """The place in the file next before `target`, else next after it; None if there is none."""
    found = [
        p
        for p in places_of(thing)
        if p.version_id != target.pk and (known is None or p.version_id in known)
    ]
    number = target.number
    return min(
        found,
        key=lambda p: (p.version.number > number, abs(p.version.number - number)),
        default=None,
    )


def placed(thing: Any, version: ScoreVersion, fields: Iterable[str]) -> Any:
    """The thing as it stands in a file, for reading only; `place_lost` where it has no place."""
    if thing.version_id == version.pk:
        return thing
    row = next((p for p in thing.places.all() if p.version_id == version.pk), None)
    thing.place_lost = row is None or row.place_lost
    if row is not None and not row.place_lost:
        thing.version = version
        for name in ("movement", "first_bar", "last_bar", "from_tick", "to_tick", "pass_number"):
            setattr(thing, name, getattr(row, name))
        for name in fields:
            setattr(thing, name, getattr(row, name))
    return thing


def notes_in(version: ScoreVersion, **which: Any) -> list[Note]:
    """The score's notes as they stand in one of its files, for reading only.

    A note without a place there has `place_lost` and keeps the place in its own file.
    """
    found = (
        Note.objects.filter(version__score=version.score_id, **which)
        .select_related("course", "author")
        .prefetch_related("places")
    )
    notes = [placed(note, version, ("lit", "sounding")) for note in found]
    return sorted(notes, key=lambda n: (n.order is None, n.order or 0, n.first_bar, n.pk))


def lost_from(things: list[Any], version: ScoreVersion) -> dict[int, Row]:
    """Where lost things stood before: file, outline, bars; and what is left of them here."""
    if not things:
        return {}
    again = (
        type(things[0])
        .objects.filter(pk__in=[t.pk for t in things])
        .select_related("version__canonical")
        .prefetch_related("places__version__canonical")
    )
    ways = {w.source_id: w for w in BarMap.objects.filter(target=version)}
    rows = {}
    for thing in again:
        place = nearest(thing, version)
        if place is not None:
            way = ways.get(place.version_id)
            rows[thing.pk] = {
                "place": place,
                "number": place.version.number,
                "outline": place.version.canonical.outline,
                "left": left_of(way.bars, place.first_bar, place.last_bar) if way else None,
            }
    return rows
