"""The worker's side of a check: one statement against one reading, kept once."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from analysis import storage
from analysis.effective import computed_for, overrulings
from analysis.engine import claims, said_place
from analysis.engine.settings import Settings
from analysis.jobs.models import Job
from analysis.jobs.worker import once, progress
from analysis.models import Run
from courses.models import Prompt
from submissions.models import Check, Observation, ObservationVersion
from submissions.places import as_place
from submissions.services.checks import (
    ask_check,
    is_settled,
    make_current,
    no_proposal,
    propose,
)
from submissions.standing import Standing, standing_of
from submissions.wishes import not_compared


def claim_of(statement: ObservationVersion, run: Run) -> dict[str, Any]:
    """The stored claim with its place, in the engine's JSON."""
    claim = {
        k: v for k, v in statement.claim.items() if k not in {"bars", "movement", "id", "typed"}
    }
    claim.update(
        id=str(statement.observation.public_id),
        kind=statement.kind,
        movement=statement.movement + 1,
    )
    if statement.from_tick is not None and statement.to_tick is not None:
        table = storage.table_of(run)
        claim["bars"] = said_place.place_json(
            table, statement.from_tick, statement.to_tick, statement.pass_number
        )
    elif statement.first_bar is not None and statement.last_bar is not None:
        claim["bars"] = as_place(statement, run.copy.outline)
    if statement.kind == "free":
        claim["text"] = statement.words  # its only field are the words themselves
    return claim


def answer_for(
    statement: ObservationVersion, run: Run, standing: Standing | None = None
) -> claims.Answer:
    """The engine's answer to a stored statement; writes nothing."""
    standing = standing or standing_of(statement)
    table = storage.table_of(run)
    return claims.answer(
        claim_of(statement, run),
        table,
        computed_for(run),
        Settings.from_dict({**run.settings, **standing.tolerances}),
        overrules=overrulings(run, table),
        edition=claims.Edition(standing.offset) if standing.offset else None,
    )


def check(job: Job) -> None:
    """Handler of "check" jobs."""
    statement = (
        ObservationVersion.objects.select_related(
            "version",
            "observation__paper__assignment__course",
            "observation__paper__student",
        )
        .filter(pk=job.payload["statement"])
        .first()
    )
    if statement is None or statement.observation.state == Observation.State.WITHDRAWN:
        return
    standing = standing_of(statement)
    if standing.wish == Prompt.Checked.LEFT_ALONE:
        result = not_compared(statement.observation)
    elif standing.run:
        result = answer_for(statement, standing.run, standing)
    elif statement.kind == "free":
        result = claims.free_answer(str(statement.observation.public_id))
    else:
        return  # the reading is on its way; its end re-checks everything
    with transaction.atomic(), once(job, job.key) as first:
        # If something has changed meanwhile, the job that change has queued says it better.
        if first and standing == standing_of(statement):
            keep(statement, standing, result)


def keep(statement: ObservationVersion, standing: Standing, result: claims.Answer) -> Check:
    """Store an answer; a settled one (already shown) stays current, the new one is a proposal."""
    of = {"observation_version": statement, **standing.key}
    row = Check.objects.filter(**of).first() or Check.objects.create(
        **of,
        settings=standing.asked,
        overrules=list(standing.overrules or ()),
        flag=result.flag,
        cause=result.cause or "",
        confidence=result.confidence,
        answer=result.as_dict(),
        sentences=result.sentences(),
        current=False,
        kept_back=standing.wish == Prompt.Checked.FLAG_ONLY,
    )
    before = Check.objects.filter(observation_version=statement, current=True).first()
    if before is None or (before.pk != row.pk and not is_settled(before)):
        make_current(row)
    elif before.pk != row.pk:
        propose(row, before)
    else:
        no_proposal(statement)  # back to what was shown: there is nothing to decide
    return row


def recheck(job: Job) -> None:
    """Handler of "recheck" jobs: a check job for the latest version of every statement."""
    statements = (
        ObservationVersion.objects.select_related(
            "observation__paper__assignment__course__tutor", "version"
        )
        .filter(version=job.payload["version"], observation__state=Observation.State.HANDED_IN)
        .order_by("pk")
    )
    latest = [s for s in statements if s.number == s.observation.number]
    for n, statement in enumerate(latest):
        progress(job, 100 * n // max(1, len(latest)), f"statement {n + 1} of {len(latest)}")
        with transaction.atomic():
            ask_check(statement, klass=Job.Klass.BULK)
