"""The worker's side of a reading: gate, read, analyse, store. Never queues from a page."""

from __future__ import annotations

from dataclasses import asdict

from django.db import transaction
from django.utils import timezone

from analysis import storage
from analysis.carry import alignments, carry_over
from analysis.engine import ENGINE_VERSION, analyses, reader
from analysis.engine import findings as findings_json
from analysis.engine.errors import EngineError
from analysis.engine.gate import sandbox
from analysis.engine.model import Finding, ScoreTable
from analysis.engine.reader import store
from analysis.engine.settings import Settings
from analysis.jobs.models import Job
from analysis.jobs.worker import CannotBeDone, once, progress
from analysis.models import CanonicalCopy, FindingRow, Run
from analysis.outline import outline_of
from analysis.readings import part_from_dict, proposed_part
from analysis.services.runs import make_current
from analysis.signals import run_ready
from courses.models import ScoreVersion
from courses.services.library import set_score_state
from courses.services.parts import propose_parts


def gave_up(job: Job) -> None:
    """After the last attempt: the score's page says so, and offers to try again."""
    if job.kind == "gate":
        version = ScoreVersion.objects.get(pk=job.payload["version"])
    else:
        run = Run.objects.select_related("copy__version").get(pk=job.payload["run"])
        version = run.copy.version
        Run.objects.filter(pk=run.pk).update(state=Run.State.FAILED, problem=job.problem)
    set_score_state(version, ScoreVersion.State.FAILED, job.problem)


def gate(job: Job) -> None:
    """Let the file in or refuse it with a sentence; then propose its parts."""
    version = ScoreVersion.objects.select_related("score").get(pk=job.payload["version"])
    progress(job, 5, "checking the file")
    data = storage.get(version.original)
    try:
        admitted = sandbox.admit_in_child(data, version.filename)
        progress(job, 50, "reading the parts")
        table = reader.read(admitted.canonical)
    except EngineError as refusal:
        with transaction.atomic(), once(job, f"gated:{version.pk}") as first:
            if first:
                set_score_state(version, ScoreVersion.State.REFUSED, str(refusal))
        return
    notices = [asdict(n) for n in (*admitted.notices, *table.warnings)]
    progress(job, 90, "noting the parts")
    with transaction.atomic(), once(job, f"gated:{version.pk}") as first:
        if not first:
            return
        copy = CanonicalCopy(
            version=version,
            sha256=admitted.sha256,
            gate_version=ENGINE_VERSION,
            title=admitted.title[:300],
            notices=notices,
            outline=outline_of(table),
        )
        storage.put(copy.file, admitted.canonical)
        copy.save()
        propose_parts(version, [proposed_part(table, p) for p in table.parts])
        set_score_state(version, ScoreVersion.State.PARTS)


def read(job: Job) -> None:
    """Compute the reading of a run and make it the current one."""
    run = Run.objects.select_related("copy__version__score", "parts_revision").get(
        pk=job.payload["run"]
    )
    progress(job, 10, "reading the notes")
    confirmed = [part_from_dict(row) for row in run.parts_revision.parts]
    try:
        table = reader.read(storage.get(run.copy.file), confirmed=confirmed)
        progress(job, 40, "finding who plays what with whom")
        found = analyses.analyse(table, Settings.from_dict(run.settings))
    except EngineError as error:
        raise CannotBeDone(str(error)) from error  # told by `gave_up`, with a button to try again
    progress(job, 80, "laying it on the former file")
    over = alignments(run.copy.version, table)
    progress(job, 85, "keeping what was found")
    with transaction.atomic(), once(job, f"read:{run.pk}") as first:
        if first:
            carry_over(run.copy.version, over)
            _keep(run, table, found)


def _keep(run: Run, table: ScoreTable, found: list[Finding]) -> None:
    storage.put(run.table, store.dumps(table))
    storage.put(run.findings, findings_json.dumps(found))
    run.state, run.ready_at, run.problem = Run.State.READY, timezone.now(), ""
    run.save()
    ids = {line.index: table.first_readings[line.part].id for line in table.lines}
    FindingRow.objects.filter(run=run).delete()
    FindingRow.objects.bulk_create(
        (
            FindingRow(
                run=run,
                ordinal=n,
                kind=f.kind,
                movement=f.movement,
                first_bar=f.first,
                last_bar=f.last,
                parts=sorted({ids[i] for i in f.lines}),
                confidence=f.confidence,
                sentence={
                    "template": f.sentence.template,
                    "params": dict(f.sentence.params),
                },
            )
            for n, f in enumerate(found)
        ),
        batch_size=500,
    )
    make_current(run)
    run_ready.send(Run, run=run)
