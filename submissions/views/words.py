"""The tutor reads it otherwise: another value for a finding, or a fact nobody computed."""

from __future__ import annotations

import json
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from analysis import storage
from analysis.models import Overrule, Run
from analysis.selectors import current_run, version_asked
from analysis.services import overrules
from courses.access import SignedRequest, own_score, tutor_required
from courses.bars import movement_of, parse_bars, typed
from courses.models import ScoreVersion
from submissions.kinds.base import KindForm
from submissions.words import SAYABLE, parts_of, typed_from

PLACE = ("kind", "movement", "first_bar", "last_bar", "parts")


@require_http_methods(["GET", "POST"])
@tutor_required
def word_on_reading(request: SignedRequest, score_id: str) -> HttpResponse:
    """The form of one kind, empty or filled from a finding; sent, it becomes the tutor's word."""
    score = own_score(request.user, score_id)
    asked = request.POST if request.method == "POST" else request.GET
    version = version_asked(score, asked.get("file"))
    run = current_run(version) if version else None
    if version is None or run is None:
        raise Http404
    outline = run.copy.outline
    finding = _finding(asked.get("finding", ""), len(outline["bars"]))
    name = finding["kind"] if finding else asked.get("kind", "")
    if not name:
        return _ask_kind(request, version, asked.get("bars", ""))
    kind = SAYABLE.get(name)
    if kind is None:
        raise Http404
    bars = asked.get("bars", "")
    if finding and not bars:
        bars = typed(finding["first_bar"], finding["last_bar"], outline)
    page: dict[str, Any] = {
        "score": score, "version": version, "kind": kind, "bars": bars,
        "reason": asked.get("reason", ""),
        "finding": json.dumps(finding) if finding else "", "here": "library",
    }  # fmt: skip
    if "said" not in request.POST:
        initial = typed_from(finding["value"], outline) if finding else {}
        return render(
            request, "submissions/word.html", {**page, "form": kind.form(initial=initial)}
        )
    form = kind.form(request.POST, table=storage.table_of(run))
    if "negated" in form.fields:
        del form.fields["negated"]
    problems: list[str] = []
    if form.is_valid():
        try:
            _say(request, run, kind.name, form, bars, finding)
        except ValidationError as error:
            problems = error.messages
        else:
            messages.success(
                request, _("Your word stands everywhere now; statements on it are compared again.")
            )
            return redirect("score", score.public_id)
    again = {**page, "form": form, "problems": problems}
    return render(request, "submissions/word.html", again, status=422)


def _ask_kind(request: SignedRequest, version: ScoreVersion, bars: str) -> HttpResponse:
    page = {
        "score": version.score,
        "version": version,
        "kinds": SAYABLE.values(),
        "bars": bars,
        "here": "library",
    }
    return render(request, "submissions/word_kind.html", page)


def _say(
    request: SignedRequest,
    run: Run,
    kind: str,
    form: KindForm,
    bars: str,
    finding: dict[str, Any] | None,
) -> None:
    """Keep the word: in place of the finding, or beside what is computed."""
    form.cleaned_data.setdefault("negated", False)
    claim = form.claim()
    outline = run.copy.outline
    first, last = parse_bars(bars, outline)
    movement = movement_of(first, outline)
    named = parts_of(claim, storage.table_of(run), movement)
    of_finding = finding["parts"] if finding else []
    overrules.overrule(
        version=run.copy.version,
        by=request.user,
        kind=kind,
        movement=movement,
        first_bar=first,
        last_bar=last,
        parts=[*of_finding, *(p for p in named if p not in of_finding)],
        says=Overrule.Says.OTHER if finding else Overrule.Says.ADDED,
        overruled=finding["value"] if finding else None,
        value={"kind": kind, **claim},
        reason=request.POST.get("reason", ""),
    )


def _finding(text: str, bars: int) -> dict[str, Any] | None:
    """The finding by value, as the page was given it; 404 for what is none."""
    if not text:
        return None
    try:
        said = json.loads(text)
        found = {name: said[name] for name in (*PLACE, "value")}
    except (ValueError, KeyError, TypeError):
        raise Http404 from None
    ends = (found["first_bar"], found["last_bar"])
    whole = all(isinstance(n, int) and 0 <= n < bars for n in ends)
    if not whole or not isinstance(found["value"], dict) or not isinstance(found["parts"], list):
        raise Http404
    return found
