"""What the paper's page says about its stages: where one is, what to do, what comes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.db.models import F

from courses.stages import ANY_ONE, TO_DO, TWICE, Kind, Way
from submissions.models import Observation, ObservationVersion, Paper
from submissions.places import span_label
from submissions.services.stages import stages_left

Outline = dict[str, Any]


def stages_of(way: Way, paper: Paper, outline: Outline) -> dict[str, Any] | None:
    """The stages in their order, and the one at hand; None for an assignment without."""
    if not way.stages:
        return None
    at = way.current
    rows = [
        {
            "label": Kind(stage["kind"]).label,
            "state": "here" if stage is at else "done" if at is None else _state(stage, way),
        }
        for stage in way.stages
    ]
    return {"rows": rows, "at": _at(way, paper, outline)}


def _state(stage: dict[str, Any], way: Way) -> str:
    return "done" if stage["kind"] in way.done else "later"


def _at(way: Way, paper: Paper, outline: Outline) -> dict[str, Any] | None:
    stage = way.current
    if stage is None:
        return None
    kind = Kind(stage["kind"])
    return {
        "kind": kind.value,
        "label": kind.label,
        "to_do": stage["text"] or TO_DO[kind],
        "last": not stages_left(way),
        "sound_locked": way.sound_locked,
        "own_line": stage["line"] == ANY_ONE,
        "line": next((p["label"] for p in outline["parts"] if p["id"] == stage["line"]), ""),
        "unspoken": unspoken(way, paper, outline) if kind == Kind.SECOND_LOOK else None,
    }


def rows_of(way: Way, wanted: list[dict[str, Any]]) -> None:
    """Add to what is asked how it stands: answered twice?, first answer given?, handed in?"""
    for row in wanted:
        prompt = row["prompt"]
        row["twice"] = prompt.asking in TWICE
        row["round"] = way.round_of(prompt)
        row["fixed"] = not way.asked_now(prompt)
    wanted.sort(key=lambda row: row["fixed"])  # what is to be answered now comes first


def unspoken(way: Way, paper: Paper, outline: Outline) -> dict[str, Any]:
    """Bars of the passages and parts of the page that no statement of one's own names.

    Out of the student's statements alone: nothing of the computed reading is in it.
    """
    said = ObservationVersion.objects.filter(
        observation__paper=paper, number=F("observation__number")
    ).exclude(observation__state=Observation.State.WITHDRAWN)
    spoken: set[int] = set()
    named: set[str] = set()
    for claim, first, last in said.values_list("claim", "first_bar", "last_bar"):
        named.update(_parts(claim))
        if first is not None:
            spoken.update(range(first, (first if last is None else last) + 1))
    asked: set[int] = set()
    for prompt in filter(way.reached, way.prompts):
        asked.update(range(prompt.first_bar, prompt.last_bar + 1))
    return {
        "bars": [span_label(outline, a, b) for a, b in _runs(sorted(asked - spoken))],
        "parts": [part["label"] for part in outline["parts"] if part["id"] not in named],
    }


def _parts(claim: Any) -> Iterator[str]:
    """Ids of the parts a claim names by themselves, wherever they stand in it."""
    if isinstance(claim, dict):
        if isinstance(claim.get("part"), str):
            yield claim["part"]
        for value in claim.values():
            yield from _parts(value)
    elif isinstance(claim, list):
        for value in claim:
            yield from _parts(value)


def _runs(bars: list[int]) -> Iterator[tuple[int, int]]:
    start = before = None
    for bar in bars:
        if before is None or bar > before + 1:
            if start is not None and before is not None:
                yield start, before
            start = bar
        before = bar
    if start is not None and before is not None:
        yield start, before
