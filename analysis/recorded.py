"""A recording's bars as the player needs them, in whichever file of the score is read."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import BooleanField, Case, Exists, OuterRef, Q, When
from django.utils import timezone
from django.utils.translation import gettext as _

from analysis import storage
from analysis.engine.errors import EngineError
from analysis.engine.sound import perform, timeline
from analysis.engine.sound.recorded import RecordedBar, recorded_bars
from analysis.models import Run
from analysis.selectors import readable_versions
from analysis.services.orders import ORDERS
from courses.models import BarMap, Recording, Score, ScoreVersion, Tapping, User

OUT_OF_ORDER = "Bar {bar} cannot begin before the bar that comes before it. Undo one of the two."
_SHORT = 0.9  # of the next bar: below it a bar that opens a movement is an upbeat


@lru_cache(maxsize=8)
def _played(run_pk: int, table: str, order: str) -> dict[str, Any]:
    score = storage.table_of(Run.objects.get(pk=run_pk))
    silent = perform(score, order=ORDERS[order], keep=lambda row: False)  # bars are all we need
    return timeline(silent, score)


def played_bars(run: Run, order: str) -> list[dict[str, Any]]:
    """Bars as they come: index, label, pass, start and end (s) by the score's own tempo."""
    return list(_played(run.pk, run.table.name, order)["bars"])


def bars_of(run: Run, order: str, taps: list[dict[str, Any]], duration: float) -> list[RecordedBar]:
    """Raises ValidationError with a sentence if the taps contradict the order of the bars."""
    bars = played_bars(run, order)
    place = {(b["index"], b["pass"]): n for n, b in enumerate(bars)}
    at = {place[key]: t["at"] for t in taps if (key := (t["bar"], t["pass"])) in place}
    lengths = [b["end"] - b["start"] for b in bars]
    try:
        return recorded_bars(lengths, at, duration, _upbeats(bars, lengths, run.copy.outline))
    except EngineError as error:
        later = next(b for a, b in pairwise(sorted(at)) if at[b] <= at[a])
        raise ValidationError(_(OUT_OF_ORDER).format(bar=bars[later]["label"])) from error


def _upbeats(bars: list[dict[str, Any]], lengths: list[float], outline: dict[str, Any]) -> set[int]:
    opens = {m["first"] for m in outline["movements"]}
    return {
        n
        for n, bar in enumerate(bars[:-1])
        if bar["index"] in opens and lengths[n] < _SHORT * lengths[n + 1]
    }


def timeline_of(recording: Recording, tapping: Tapping, run: Run) -> dict[str, Any]:
    """A timeline as the player reads it, in s of the recording; bars without a time are not in it.

    A recording of another file of the score goes with its bars.
    """
    taps = _carried(tapping.taps, recording, run.copy.version_id)
    bars = played_bars(run, tapping.order)
    known = bars_of(run, tapping.order, taps, tapping.duration)
    whole = _played(run.pk, run.table.name, tapping.order)
    return {
        "schema": 1,
        "order": "recording",
        "duration": known[-1].end if known else 0,
        "bars": [
            {**bars[b.place], "start": b.start, "end": b.end, "tapped": b.tapped} for b in known
        ],
        "parts": whole["parts"],
        "notes": [],
    }


def _carried(taps: list[dict[str, Any]], recording: Recording, target: int) -> list[dict[str, Any]]:
    if recording.version_id == target:
        return taps
    way = BarMap.objects.filter(source=recording.version_id, target=target).first()
    there = way.bars if way else []
    return [
        {**t, "bar": there[t["bar"]]}
        for t in taps
        if t["bar"] < len(there) and there[t["bar"]] is not None
    ]


def readable_recordings(user: User) -> Any:
    """All that stand in the own library; of a course's scores those in use, with bars to follow.

    What a stage of an assignment holds back is for `courses.locks` to say.
    """
    followed = Recording.objects.in_use().values("pk")
    return (
        Recording.objects.standing()
        .filter(version__in=readable_versions(user))
        .filter(Q(version__score__tutor=user) | Q(pk__in=followed))
        .select_related("version__score")
    )


def to_follow(user: User, version: ScoreVersion) -> list[Recording]:
    """Recordings of the score, in whichever file, that its bars can follow; oldest first."""
    found = readable_recordings(user).filter(version__score=version.score_id)
    return list(found.filter(tappings__isnull=False).distinct().order_by("pk"))


def recordings_of(score: Score) -> list[Recording]:
    """For the tutor's page: all that stand.

    With `followed`, whether its bars can be followed, and `over`, whether its last day is past.
    """
    tapped = Tapping.objects.filter(recording=OuterRef("pk"))
    past = When(ends_on__lt=timezone.localdate(), then=True)
    over = Case(past, default=False, output_field=BooleanField())
    found = Recording.objects.standing().filter(version__score=score)
    return list(found.annotate(followed=Exists(tapped), over=over).order_by("pk"))
