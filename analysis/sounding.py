"""The worker's side of sound: MIDI and timeline out of a run's note table."""

from __future__ import annotations

import json

from django.db import transaction

from analysis import storage
from analysis.engine.sound import SOUND_VERSION, midi_file, perform
from analysis.engine.sound import timeline as timeline_of
from analysis.jobs.models import Job
from analysis.jobs.worker import once, progress
from analysis.models import Run, Sound


def sound(job: Job) -> None:
    """MIDI and timeline of a run, out of its note table."""
    run = Run.objects.get(pk=job.payload["run"])
    table = storage.table_of(run)
    progress(job, 10, "making the sound")
    performance = perform(table)
    midi, timeline = midi_file(performance, table), timeline_of(performance, table)
    with transaction.atomic(), once(job, f"sound:{run.pk}:{SOUND_VERSION}") as first:
        if first:
            row = Sound.objects.filter(run=run).first() or Sound(run=run)
            row.version = SOUND_VERSION
            storage.put(row.midi, midi)
            storage.put(row.timeline, json.dumps(timeline, separators=(",", ":")).encode())
            row.save()
