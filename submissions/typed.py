"""From what a student typed to what is stored. Nothing typed is ever lost."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from django.core.exceptions import ValidationError

from analysis import storage
from analysis.engine import said_place
from analysis.engine.errors import ClaimNotUnderstood
from analysis.engine.model import ScoreTable
from analysis.models import Run
from courses.bars import is_span, movement_of, parse_bars, typed
from courses.templatetags.trade import in_bars
from submissions.kinds import kind_of
from submissions.models import ObservationVersion
from submissions.places import span_label

#: Longest words of one statement, in characters.
WORDS_MAX = 4000


@dataclass
class Reading:
    """Stored values, and what stands in the way of handing in, by field."""

    values: dict[str, Any] = field(default_factory=dict)
    problems: dict[str, list[str]] = field(default_factory=dict)
    notice: str = ""  # how a place in words was taken


def read_typed(data: dict[str, Any], run: Run) -> Reading:
    """Turn {"kind", "says", "bars", "words", "sense", "doubt"} into values to store."""
    outline = run.copy.outline
    kind = kind_of(str(data.get("kind", "free")))
    fields = {str(k): v for k, v in dict(data.get("says") or {}).items()}
    found = Reading(
        values={
            "kind": kind.name,
            "words": str(data.get("words", ""))[:WORDS_MAX],
            "sense": data.get("sense") or ObservationVersion.Sense.SEEN,
            "doubt": str(data.get("doubt", ""))[:300],
            **_NO_PLACE,
        }
    )
    bars = str(data.get("bars", ""))
    table = storage.table_of(run)
    _place(found, bars, kind.needs_bars, outline, table)
    form = kind.form(
        {f"k-{name}": value for name, value in fields.items()},
        table=table,
        movement=found.values.get("movement", 0),
    )
    claim: dict[str, Any] = {}
    if form.is_valid():
        claim = form.claim()
    else:
        found.problems.update({k: [str(m) for m in v] for k, v in form.errors.items()})
    if kind.name == "free" and not found.values["words"].strip():
        found.problems["words"] = ["Say it in your own words."]
    found.values["claim"] = {**claim, "typed": {"says": fields, "bars": bars}}
    return found


_NO_PLACE: dict[str, Any] = {
    "first_bar": None, "last_bar": None, "from_tick": None, "to_tick": None, "pass_number": None,
}  # fmt: skip


def _place(
    found: Reading, bars: str, needed: bool, outline: dict[str, Any], table: ScoreTable
) -> None:
    if not bars.strip():
        if needed:
            found.problems["bars"] = ["Where? Choose bars on the score, or type them: 9-12."]
        elif outline["bars"]:
            found.values.update(first_bar=0, last_bar=0, movement=0)
        return
    try:
        first, last = parse_bars(bars, outline)
    except ValidationError as error:
        if is_span(bars, outline):
            found.problems["bars"] = list(error.messages)
        else:
            _in_words(found, bars, outline, table)
        return
    found.values.update(first_bar=first, last_bar=last, movement=movement_of(first, outline))


def _in_words(found: Reading, bars: str, outline: dict[str, Any], table: ScoreTable) -> None:
    """Bars that are no plain span: "3 after C", "33f.", "23, beats 3-4", "1-4, second time"."""
    try:
        place = said_place.read_place(bars, table)
    except ClaimNotUnderstood as question:
        found.problems["bars"] = [str(question)]
        return
    found.values.update(
        first_bar=place.first, last_bar=place.last, movement=place.movement,
        pass_number=place.number,
    )  # fmt: skip
    if not place.whole:
        found.values.update(from_tick=place.start, to_tick=place.end)
    taken = in_bars(span_label(outline, place.first, place.last))
    found.notice = " ".join(place.notes) or f"Taken as {taken[0].lower()}{taken[1:]}."


def as_typed(version: ObservationVersion, outline: dict[str, Any]) -> dict[str, Any]:
    """What the form shows again: as typed where we have it, else from the stored place."""
    kept = version.claim.get("typed", {})
    return {
        "kind": version.kind,
        "says": kept.get("says", {}),
        "bars": kept.get("bars") or typed(version.first_bar, version.last_bar, outline),
        "words": version.words,
        "sense": version.sense,
        "doubt": version.doubt,
    }
