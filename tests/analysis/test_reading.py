"""From the file to findings, and the tutor's word over them."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from analysis import storage
from analysis.effective import effective_findings
from analysis.engine.errors import EngineError
from analysis.jobs.models import Job
from analysis.jobs.queue import retry
from analysis.models import CanonicalCopy, FindingRow, Overrule, Run
from analysis.selectors import current_run
from analysis.services import overrules
from analysis.services.runs import ask_run
from courses.models import ScoreVersion
from tests.cast import Cast, Stage, confirm_everything, read_for_real, upload

pytestmark = pytest.mark.django_db


def test_a_reading_leaves_copy_table_findings_and_rows(cast: Cast) -> None:
    version = read_for_real(cast.tutor)
    run = current_run(version)
    assert run is not None
    assert [p["id"] for p in run.copy.outline["parts"]] == ["P1", "P2", "P3", "P4", "P5"]
    assert len(run.copy.outline["bars"]) == 8
    found = storage.computed_findings(run)
    assert {"playing", "doubling"} <= {f.kind for f in found}
    rows = list(FindingRow.objects.filter(run=run))
    assert [(r.kind, r.first_bar, r.last_bar) for r in rows] == [
        (f.kind, f.first, f.last) for f in found
    ]
    table = storage.table_of(run)
    horn = next(p for p in table.parts if p.id == "P2")
    assert (horn.instrument.split("-")[0], horn.transposition) == ("horn", -9)


def test_jobs_done_twice_leave_one_copy_and_one_run(cast: Cast, drain_jobs: Any) -> None:
    version = read_for_real(cast.tutor)
    Job.objects.filter(kind__in=["gate", "read"]).update(state="queued", attempts=0)
    drain_jobs()
    assert CanonicalCopy.objects.filter(version=version).count() == 1
    assert Run.objects.filter(copy__version=version).count() == 1
    assert version.parts_revisions.filter(number=1).count() == 1
    rows = FindingRow.objects.filter(run__copy__version=version)
    assert rows.count() == len(storage.computed_findings(Run.objects.get()))


def test_asking_for_the_same_run_is_asking_once(cast: Cast, stage: Stage) -> None:
    again = ask_run(stage.run.copy, stage.run.parts_revision)
    assert again == stage.run
    assert not Job.objects.filter(kind="read").exists()


def test_one_run_is_current_and_the_last_one_asked_for(cast: Cast, stage: Stage) -> None:
    other = ask_run(stage.run.copy, stage.run.parts_revision, {"doubling_full": 0.8})
    assert current_run(stage.version) == stage.run, "until the new one is ready"
    Run.objects.filter(pk=other.pk).update(state="ready")
    other.refresh_from_db()
    ask_run(stage.run.copy, stage.run.parts_revision, {"doubling_full": 0.8})
    assert Run.objects.filter(copy=stage.run.copy, current=True).get() == other


def test_a_reading_that_cannot_be_done_says_so_and_can_be_tried_again(
    cast: Cast, drain_jobs: Any, monkeypatch: Any
) -> None:
    version = upload(cast.tutor)
    drain_jobs()

    def fall(*args: Any, **kwargs: Any) -> None:
        raise EngineError("The bass clef in bar 3 has no line.")

    with monkeypatch.context() as broken:
        broken.setattr("analysis.pipeline.analyses.analyse", fall)
        version.refresh_from_db()
        confirm_everything(version, cast.tutor)
        drain_jobs()
    version.refresh_from_db()
    assert (version.state, version.problem) == ("failed", "The bass clef in bar 3 has no line.")
    job = Job.objects.get(kind="read")
    assert (job.state, job.attempts) == ("failed", 1)
    client = Client()
    client.force_login(cast.tutor)
    page = client.get(reverse("score", args=[version.score.public_id])).content.decode()
    assert "The bass clef in bar 3 has no line." in page
    assert reverse("jobs:retry", args=[job.public_id]) in page
    retry(job)
    drain_jobs()
    version.refresh_from_db()
    assert version.state == ScoreVersion.State.READY
    assert Run.objects.get().state == Run.State.READY


def test_what_the_reader_cannot_read_is_refused_with_its_sentence(
    cast: Cast, drain_jobs: Any, monkeypatch: Any
) -> None:
    def fall(*args: Any, **kwargs: Any) -> None:
        raise EngineError("Bar 2 of the horn has no end.")

    monkeypatch.setattr("analysis.pipeline.reader.read", fall)
    version = upload(cast.tutor)
    drain_jobs()
    version.refresh_from_db()
    assert (version.state, version.problem) == ("refused", "Bar 2 of the horn has no end.")


# --- the tutor's word -----------------------------------------------------------


def doubling(stage: Stage) -> Any:
    """The flute with the violins, bars 1-4, as computed."""
    table = storage.table_of(stage.run)
    ids = {line.index: table.first_readings[line.part].id for line in table.lines}
    return next(
        f for f in storage.computed_findings(stage.run)
        if f.kind == "doubling" and {ids[n] for n in f.lines} == {"P1", "P3"}
    )  # fmt: skip


def say(cast: Cast, stage: Stage, **more: Any) -> Overrule:
    found = doubling(stage)
    values: dict[str, Any] = {
        "version": stage.version, "by": cast.tutor, "kind": "doubling", "movement": 0,
        "first_bar": found.first, "last_bar": found.last,
        "parts": [{"part": "P1", "player": None}, {"part": "P3", "player": None}],
        "says": "absent", "overruled": dict(found.value), "reason": "An echo.", **more,
    }  # fmt: skip
    return overrules.overrule(**values)


def held(stage: Stage) -> list[Any]:
    lines = set(doubling(stage).lines)
    return [f for f in effective_findings(stage.run) if f.kind == "doubling"
            and set(f.lines) == lines]  # fmt: skip


def test_absent_takes_it_away_and_withdrawn_brings_it_back(cast: Cast, stage: Stage) -> None:
    assert len(held(stage)) == 1
    row = say(cast, stage)
    assert held(stage) == []
    assert doubling(stage) not in effective_findings(stage.run)
    overrules.withdraw(row=row, by=cast.tutor)
    assert len(held(stage)) == 1


def test_a_part_of_the_bars_leaves_the_rest(cast: Cast, stage: Stage) -> None:
    say(cast, stage, first_bar=1, last_bar=1)
    assert [(f.first, f.last) for f in held(stage)] == [(0, 0), (2, 3)]


def test_added_stands_with_full_confidence(cast: Cast, stage: Stage) -> None:
    value = {"kind": "doubling", "octaves": 1, "coverage": "full"}
    say(cast, stage, says="added", first_bar=5, last_bar=6, overruled=None, value=value)
    assert [(f.first, f.last, f.confidence) for f in held(stage)] == [
        (0, 3, held(stage)[0].confidence), (5, 6, 1.0),
    ]  # fmt: skip


@pytest.mark.parametrize(
    "wrong",
    [
        {"reason": "  "},
        {"says": "other", "value": None},
        {"says": "perhaps"},
        {"first_bar": 3, "last_bar": 1},
        {"last_bar": 99},
        {"first_bar": "0"},
        {"parts": [{"player": 1}]},
        {"parts": ["P1"]},
        {"parts": "P1"},
    ],
    ids=repr,
)
def test_a_word_without_reason_place_or_sense_is_refused(
    cast: Cast, stage: Stage, wrong: dict[str, Any]
) -> None:
    with pytest.raises(ValidationError):
        say(cast, stage, **wrong)
    assert not Overrule.objects.exists()


def test_a_word_outlives_a_new_reading(cast: Cast, stage: Stage, drain_jobs: Any) -> None:
    """Kept by value (contract 5.3): never by the key of a finding's row."""
    say(cast, stage)
    ask_run(stage.run.copy, stage.run.parts_revision, {"doubling_noted": 0.81})
    drain_jobs()
    run = current_run(stage.version)
    assert run is not None
    assert run != stage.run
    lines = set(doubling(stage).lines)
    assert not any(
        f.kind == "doubling" and set(f.lines) == lines and f.first <= 3
        for f in effective_findings(run)
    )
    assert any(set(f.lines) == lines for f in storage.computed_findings(run))
