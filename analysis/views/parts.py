"""Part confirmation: one table one can read down in a minute."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from analysis.engine.instruments.table import INSTRUMENTS
from analysis.selectors import copy_of, gated_version
from analysis.views.score import waiting_job
from courses.access import SignedRequest, own_score, tutor_required, with_sound
from courses.models import ScoreVersion
from courses.services.parts import confirm_parts, latest_revision, part_key

STEPS = "CDEFGAB"
_SIGNS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}
_NATURAL = (0, 2, 4, 5, 7, 9, 11)
#: Steps of an interval of so many semitones, as crooks have them (7 = a fifth = 4 steps).
_STEPS_OF = (0, 1, 1, 2, 2, 3, 4, 4, 5, 5, 6, 6)


def _written(sample: dict[str, int]) -> str:
    return f"{STEPS[sample['step']]}{_SIGNS.get(sample['alter'], '')}{sample['octave']}"


def _steps(part: dict[str, Any]) -> int:
    """The part's own step interval; a common one where only the semitones were changed."""
    shift = int(part["transposition"])
    own = part.get("diatonic") or 0
    octaves, rest = divmod(own, 7)
    if abs(12 * octaves + _NATURAL[rest] - shift) <= 1:
        return int(own)
    octaves, rest = divmod(abs(shift), 12)
    return (7 * octaves + _STEPS_OF[rest]) * (1 if shift >= 0 else -1)


def _sounding(sample: dict[str, int], part: dict[str, Any]) -> str:
    """The written name moved by the part's interval: D4 on a horn in F is G3."""
    octave, step = divmod(7 * sample["octave"] + sample["step"] + _steps(part), 7)
    alter = sample["midi"] + part["transposition"] - 12 * (octave + 1) - _NATURAL[step]
    sign = ("#" if alter > 0 else "b") * abs(alter)
    return f"{STEPS[step]}{sign}{octave}"


def part_rows(version: ScoreVersion) -> list[dict[str, Any]]:
    """Rows of the table: what is printed, what we take it for, two notes, the doubt."""
    revision = latest_revision(version)
    outline = getattr(copy_of(version), "outline", {}) or {}
    bars = outline.get("bars", [])
    rows = []
    for part in revision.parts if revision else []:
        shift = part["transposition"]
        instrument = INSTRUMENTS.get(part["instrument"])
        rows.append(
            {
                **part,
                "key": part_key(part),
                "taken_for": instrument.name if instrument else _("not known"),
                "program": instrument.program if instrument else 0,
                "from_label": bars[part["from_bar"]]["label"] if part["from_bar"] else "",
                "players_text": ", ".join(str(n) for n in part["players"]),
                "tests": [
                    {
                        "written": _written(s),
                        "sounding": _sounding(s, part),
                        "midi": s["midi"] + shift,
                    }
                    for s in part.get("samples", [])
                ],
            }
        )
    return rows


@with_sound
@require_GET
@tutor_required
def parts_page(request: SignedRequest, score_id: str) -> HttpResponse:
    score = own_score(request.user, score_id)
    version = gated_version(score)
    rows = part_rows(version) if version else []
    open_rows = [row for row in rows if not row["confirmed"]]
    page = {
        "score": score,
        "version": version,
        "rows": sorted(rows, key=lambda row: row["confirmed"] or not row["doubt"]),
        "sure": [row for row in open_rows if not row["doubt"]],
        "doubtful": [row for row in open_rows if row["doubt"]],
        "instruments": sorted(INSTRUMENTS.values(), key=lambda i: i.name),
        "notices": getattr(copy_of(version), "notices", []) if version else [],
        "job": waiting_job(version) if version else None,
        "here": "library",
    }
    return render(request, "analysis/parts.html", page)


def _changes(request: SignedRequest) -> dict[str, Any]:
    """What the tutor typed over our reading of one part."""
    post = request.POST
    change: dict[str, Any] = {}
    if name := post.get("instrument"):
        if name not in INSTRUMENTS:
            raise ValidationError(_("Choose an instrument from the list."))
        change["instrument"] = name
        change["family"] = INSTRUMENTS[name].family
    if "transposition" in post:
        try:
            change["transposition"] = int(post["transposition"])
        except ValueError:
            raise ValidationError(
                _("Semitones from written to sounding: a whole number, such as -9.")
            ) from None
        if not -36 <= change["transposition"] <= 36:
            raise ValidationError(_("More than three octaves cannot be right."))
    if "crook" in post:
        change["crook"] = post["crook"].strip() or None
    if "players" in post:
        try:
            change["players"] = sorted({int(n) for n in post["players"].split(",") if n.strip()})
        except ValueError:
            raise ValidationError(_("Players are numbers, such as 1 or 1, 2.")) from None
    if "marks" in post:
        change["old_bass_clef"] = "old_bass_clef" in post
        change["octave_switch"] = "octave_switch" in post
    return change


@require_POST
@tutor_required
def confirm(request: SignedRequest, score_id: str) -> HttpResponse:
    """Confirm the doubt-free parts together, or one part by itself."""
    score = own_score(request.user, score_id)
    version = gated_version(score)
    together = "together" in request.POST
    try:
        if version is None:
            raise ValidationError(_("There is no file yet."))
        if together:
            keys = [r["key"] for r in part_rows(version) if not r["confirmed"] and not r["doubt"]]
            revision = confirm_parts(version=version, by=request.user, keys=keys, together=True)
        else:
            key = request.POST.get("key", "")
            change = _changes(request)
            revision = confirm_parts(
                version=version,
                by=request.user,
                keys=[key],
                changes={key: change} if change else None,
            )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        if revision.complete:
            messages.success(request, _("All parts are confirmed; the score is being read."))
            return redirect("score", score.public_id)
    return redirect("parts", score.public_id)
