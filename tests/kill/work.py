"""The two job kinds of the kill test."""

from __future__ import annotations

import os
import random
import signal
import time

from analysis.jobs.models import Job
from analysis.jobs.worker import once, progress
from courses.models import Event

EFFECT = "kill.effect"
KLASSES = [Job.Klass.INTERACTIVE, Job.Klass.INTERACTIVE, Job.Klass.SCORE, Job.Klass.BULK]


SCORE = """<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0"><movement-title>{title}</movement-title>
<part-list><score-part id="P1"><part-name>Flute</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions>
<time><beats>4</beats><beat-type>4</beat-type></time>
<clef><sign>G</sign><line>2</line></clef></attributes>
<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration><type>whole</type></note>
</measure></part></score-partwise>
"""


def score_file(title: str) -> bytes:
    """One bar for a flute; the title makes it a file of its own."""
    return SCORE.format(title=title).encode()


def effect(job: Job) -> None:
    """Some work with progress, then a row that nothing but `once` keeps from being doubled."""
    for step in range(random.randrange(4)):
        progress(job, 25 * step, f"step {step}")
        time.sleep(random.uniform(0, 0.03))
    with once(job, f"kill-effect:{job.payload['key']}") as first:
        if first:
            Event.objects.create(verb=EFFECT, thing="statement", thing_id=job.payload["key"])
            time.sleep(random.uniform(0, 0.02))


def poison(job: Job) -> None:
    """What a crash in native code looks like."""
    progress(job, 1, "about to crash")
    os.kill(os.getpid(), signal.SIGSEGV)
