"""The tutor's score page: engraving left, findings of the chosen bars right."""

from __future__ import annotations

import uuid
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext
from django.views.decorators.http import require_GET

from analysis import storage
from analysis.engine import sentences
from analysis.engine.telling import kind_label
from analysis.jobs.models import Job
from analysis.jobs.selectors import state_of
from analysis.models import Overrule, Run
from analysis.recorded import recordings_of
from analysis.selectors import (
    copy_of,
    current_run,
    latest_version,
    overrules_on,
    shown_version,
)
from analysis.views.findings import span_label
from courses.access import SignedRequest, own_score, tutor_required, with_sound
from courses.bars import typed
from courses.models import Course, Note, ScoreVersion
from courses.places import lost_from, notes_in


def waiting_job(version: ScoreVersion) -> Job | None:
    """The job this version is waiting for, if any."""
    return (
        Job.objects.filter(kind__in=["gate", "read"], tutor=version.score.tutor_id)
        .exclude(state=Job.State.DONE)
        .filter(payload__version=version.pk)
        .order_by("-id")
        .first()
        or Job.objects.filter(kind="read", payload__run__in=_runs(version))
        .exclude(state=Job.State.DONE)
        .order_by("-id")
        .first()
    )


def _runs(version: ScoreVersion) -> list[int]:
    copy = copy_of(version)
    return list(copy.runs.values_list("pk", flat=True)) if copy else []


@with_sound
@require_GET
@tutor_required
def score_page(request: SignedRequest, score_id: uuid.UUID) -> HttpResponse:
    score = own_score(request.user, score_id)
    version, newest = shown_version(score), latest_version(score)
    if version is None or newest is None:
        raise Http404
    copy = copy_of(version)
    run = current_run(version)
    job = waiting_job(newest)
    page: dict[str, Any] = {
        "score": score,
        "version": version,
        "newest": newest,
        "copy": copy,
        "run": run,
        "outline": copy.outline if copy else None,
        "job": state_of(job, request.user) if job else None,
        "rights": score.rights.first(),
        "recordings": recordings_of(score) if run else [],
        "here": "library",
    }
    if copy:
        notes, words = notes_in(version), overrules_on(version)
        page["note_rows"] = [note_row(n, copy.outline) for n in notes if not n.place_lost]
        page["lost_notes"] = _lost([n for n in notes if n.place_lost], version, copy.outline)
        page["courses"] = Course.objects.taught_by(request.user)
        page["overrules"] = [
            {
                "row": o,
                "bars": span_label(copy.outline, o.first_bar, o.last_bar),
                "about": _about(o, run, copy.outline),
            }
            for o in reversed(words)
            if not o.place_lost
        ]
        page["lost_words"] = _lost([o for o in words if o.place_lost], version, copy.outline)
    return render(request, "analysis/score.html", page)


def _about(word: Overrule, run: Run | None, outline: dict[str, Any]) -> str:
    """The overruled finding in its own sentence; else the kind and the parts it names."""
    for finding in storage.computed_findings(run) if run and word.overruled else ():
        place = finding.kind, finding.first, finding.last
        if place != (word.kind, word.first_bar, word.last_bar):
            continue
        if dict(finding.value) == word.overruled:
            return sentences.render(finding.sentence, gettext)
    labels = {p["id"]: str(p["label"]) for p in outline["parts"]}
    named = dict.fromkeys(labels.get(p["part"], p["part"]) for p in word.parts)
    label = gettext(kind_label(word.kind))
    return f"{label} ({', '.join(named)})" if named else label


def _lost(things: list[Any], version: ScoreVersion, outline: dict[str, Any]) -> list[Any]:
    """What has no place in this file: where it stood, and what is left of its bars."""
    before = lost_from(things, version)
    return [
        {
            "row": thing,
            "was": span_label(was["outline"], was["place"].first_bar, was["place"].last_bar),
            "one": was["place"].first_bar == was["place"].last_bar,
            "number": was["number"],
            "left": typed(was["left"][0], was["left"][1], outline) if was["left"] else "",
        }
        for thing in things
        if (was := before.get(thing.pk))
    ]


def note_row(note: Note, outline: dict[str, Any]) -> dict[str, Any]:
    """A note as the page's script needs it."""
    return {
        "id": str(note.public_id),
        "first": note.first_bar,
        "last": note.last_bar,
        "bars": span_label(outline, note.first_bar, note.last_bar),
        "text": note.text,
        "order": note.order,
        "state": note.state,
        "course": str(note.course) if note.course else "",
        "lit": [p["part"] for p in note.lit],
        "sounding": [p["part"] for p in note.sounding],
    }
