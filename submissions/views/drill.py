"""Transposing by hand, a few notes of the score at hand at a time. Nothing of it is kept."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _later
from django.views.decorators.http import require_GET

from analysis import storage
from analysis.engine import drill
from analysis.engine.drill import Question, Way
from analysis.engine.instruments.crooks import Crook
from analysis.engine.instruments.table import INSTRUMENTS
from analysis.engine.model import ScoreTable
from analysis.models import Run
from analysis.selectors import current_run, readable_versions
from courses.access import SignedRequest
from courses.bars import typed
from courses.locks import Locks, locks_on
from courses.stages import ANY_ONE
from submissions.layers import allowed
from submissions.views.notes_told import OPENNESS, note_name, with_article

CLEFS: dict[str, str | Promise] = {
    "G2": _later("treble clef"), "F4": _later("bass clef"), "C3": _later("alto clef"),
    "C4": _later("tenor clef"), "C1": _later("soprano clef"), "F3": _later("baritone clef"),
}  # fmt: skip

SAID: dict[str, str | Promise] = {
    "right": _later("Right."),
    "enharmonic": _later("That sounds the same; it is spelled otherwise."),
    "octave": _later("The note is right, its octave is another one."),
    "other-way": _later("The distance is right, the direction is the other one."),
    "as-given": _later("That is the note as it was given."),
    "wrong": _later("Not that one."),
}


@dataclass(frozen=True)
class _Asked:
    run: Run
    table: ScoreTable
    locks: Locks
    way: Way


def _asked(request: SignedRequest, version_id: uuid.UUID) -> _Asked:
    """404 for what the page does not show now; while the page is surveyed, for all of it."""
    files = readable_versions(request.user).select_related("score")
    version = get_object_or_404(files, public_id=version_id)
    run, locks = current_run(version), locks_on(request.user, version.score, timezone.now())
    if run is None or locks.page or locks.facts:
        raise Http404
    way: Way = "written" if request.GET.get("way") == "written" else "sounds"
    return _Asked(run, storage.table_of(run), locks, way)


@require_GET
@login_required
def drill_questions(request: SignedRequest, version_id: uuid.UUID) -> HttpResponse:
    """JSON: `parts` that transpose, and `questions` about notes of bars `first` to `last`.

    No answer is in it: a choice of four notes, one of them right, and where the note stands.
    """
    asked = _asked(request, version_id)
    span = [request.GET.get(name, "") for name in ("first", "last", "turn")]
    if not all(v.isdecimal() and len(v) < 7 for v in span):
        return JsonResponse({"detail": _("Say which bars.")}, status=422)
    first, last, turn = map(int, span)
    if not first <= last < len(asked.table.bars):
        return JsonResponse({"detail": _("These bars are not in the score.")}, status=422)
    line = asked.locks.line
    here = {r.id: r.label for r in drill.transposing(asked.table)}
    if line not in {"", ANY_ONE}:
        here = {id_: label for id_, label in here.items() if id_ == line}
    wanted = [part for part in request.GET.get("parts", "").split(",") if part in here]
    found = drill.questions(asked.table, first, last, wanted or list(here) or ["-"], turn)
    outline = asked.run.copy.outline
    return _answer(
        {
            "parts": [{"id": id_, "label": label} for id_, label in here.items()],
            "questions": [_question(q, asked.way, outline) for q in found],
        }
    )


def _question(question: Question, way: Way, outline: dict[str, Any]) -> dict[str, Any]:
    told = question.told
    given = note_name(question.given(way))
    asks = _("written {note}: what sounds?") if way == "sounds" else _(
        "it sounds {note}: how is it written?"
    )  # fmt: skip
    where = [
        " · ".join(dict.fromkeys(line.name for line in told.lines)),
        _("bar {n}").format(n=typed(told.bar, told.bar, outline)),
    ]
    clef = CLEFS.get(question.clef.split("/")[0])
    if clef:
        where.append(str(clef))
    return {
        "note": question.note_id,
        "bar": told.bar,
        "where": ", ".join(where),
        "asks": asks.format(note=given),
        "choices": [note_name(pitch) for pitch in drill.choices(question, way)],
    }


@require_GET
@login_required
def drill_answer(request: SignedRequest, version_id: uuid.UUID, note_id: str) -> HttpResponse:
    """JSON: whether `said` is `right`, and why, as `lines`. Not a test: nobody is told.

    The answer itself is in it with the right one, or where one asks to be told (`tell`).
    """
    asked = _asked(request, version_id)
    question = drill.question_of(asked.table, note_id)
    line = asked.locks.line
    if question is None or line not in {"", ANY_ONE, question.told.reading.id}:
        raise Http404
    said, is_note = drill.read_said(request.GET.get("said", "")[:40])
    if said is None:
        problem = (
            _("Say its octave, too: C 4 is middle C.")
            if is_note
            else _("That is no name of a note. Write it such as G 4, E flat 3 or F#5.")
        )
        return _answer({"right": None, "lines": [problem]})
    outcome = drill.judge(question, asked.way, said)
    tones = "open-tones" in allowed(
        request.user, asked.run, question.told.bar, question.told.bar, timezone.now()
    )
    why = _why(question, asked.way, tones)
    known = outcome == "right" or bool(request.GET.get("tell"))
    return _answer(
        {
            "right": outcome == "right",
            "lines": [str(SAID[outcome]), *(why if known else why[:1])],
        }
    )


def _why(question: Question, way: Way, tones: bool) -> list[str]:
    told = question.told
    written, sounding = question.given("sounds"), question.wanted("sounds")
    known = INSTRUMENTS.get(told.reading.instrument)
    name = known.name if known else told.reading.label
    if told.reading.crook:
        crook = Crook(told.reading.crook, 0, 0).words
        name = _("{instrument} in {crook}").format(instrument=name, crook=crook)
    name = name[:1].upper() + name[1:]
    moves = _("{name}: sounds {interval} lower than written.") if told.lower else _(
        "{name}: sounds {interval} higher than written."
    )  # fmt: skip
    lines = [moves.format(name=name, interval=with_article(told.apart))]
    if way == "sounds":
        so = _("Written {written}, so it sounds {sounding}.")
    else:
        so = _("It sounds {sounding}, so {written} is written.")
    lines.append(so.format(written=note_name(written), sounding=note_name(sounding)))
    if question.old_bass_clef:
        lines.append(_("The bass clef stands here as of old: written an octave lower than meant."))
    if tones and told.tone is not None:
        lines.append(str(OPENNESS[told.tone.openness]).format(n=told.tone.partial).capitalize())
    return lines


def _answer(data: dict[str, Any]) -> JsonResponse:
    response = JsonResponse(data)
    response["Cache-Control"] = "private, no-store"  # what one may ask about changes with stages
    return response
