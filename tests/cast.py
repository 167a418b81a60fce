"""A small cast: people, one score read for real, a course, an assignment, a paper.

The score goes once a session through the whole pipeline (upload, the gate in its child
process, part confirmation, reading). What came out is kept as bytes and rows, so that
every test starts from the same reading for the price of a few inserts.
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone

from analysis import storage
from analysis.jobs.models import Effect, Job
from analysis.jobs.worker import drain
from analysis.models import CanonicalCopy, FindingRow, Run
from courses import drafts
from courses.models import (
    Assignment,
    Course,
    Enrolment,
    Guardianship,
    Note,
    PartsRevision,
    Rights,
    Score,
    ScoreVersion,
    User,
    Work,
)
from courses.services import assignments, library
from courses.services.parts import confirm_parts, latest_revision, part_key
from submissions.models import Observation, ObservationVersion, Paper
from submissions.services import observations, papers
from submissions.typed import read_typed
from tests.browser.pieces import serenade

RIGHTS: dict[str, Any] = {
    "source": "made for this test",
    "basis": Rights.Basis.OWN,
    "country": "Norway",
    "assessed_by": "the tutor",
    "assessed_on": date(2026, 1, 5),
    "entitled": True,
}


@dataclass
class Cast:
    """Who is on stage. `nobody` has an account and no course."""

    tutor: User
    other_tutor: User
    assistant: User
    student: User
    fellow: User
    stranger: User  # a student of the other tutor's course
    guardian: User
    nobody: User
    admin: User

    def everybody(self) -> dict[str, User]:
        return dict(vars(self))


@dataclass
class Stage:
    """What is on stage."""

    course: Course
    other_course: Course
    version: ScoreVersion
    run: Run
    assignment: Assignment
    prompt_key: str
    more: dict[str, Any] = field(default_factory=dict)

    @property
    def score(self) -> Score:
        return self.version.score


def person(name: str, **more: Any) -> User:
    return User.objects.create_user(
        username=f"{name}-{uuid.uuid4().hex[:6]}", password="pass-the-oboe", display_name=name,
        **more,
    )  # fmt: skip


def make_cast() -> Cast:
    return Cast(
        tutor=person("Tuva Tutor", is_tutor=True),
        other_tutor=person("Otto Other", is_tutor=True),
        assistant=person("Asta Assistant"),
        student=person("Stella Student"),
        fellow=person("Felix Fellow"),
        stranger=person("Stig Stranger"),
        guardian=person("Gerda Guardian"),
        nobody=person("Nils Nobody"),
        admin=person("Ada Admin", is_staff=True, is_superuser=True),
    )


def enrol(course: Course, user: User, role: str = "student", state: str = "active") -> Enrolment:
    return Enrolment.objects.create(course=course, user=user, role=role, state=state)


# --- the score, read once ---------------------------------------------------


@dataclass
class Reading:
    """All that a real reading leaves behind, as bytes and plain values."""

    original: bytes
    canonical: bytes
    copy: dict[str, Any]
    proposed: list[dict[str, Any]]
    confirmed: list[dict[str, Any]]
    run: dict[str, Any]
    table: bytes
    findings: bytes
    rows: list[dict[str, Any]]


_KEPT: dict[str, Reading] = {}
_ROW = ("ordinal", "kind", "movement", "first_bar", "last_bar", "parts", "confidence", "sentence")


def upload(tutor: User, data: bytes | None = None, **more: Any) -> ScoreVersion:
    """Through the service, as the page does it."""
    values = {"work_title": "A little serenade", "title": "I", "order": 1, "rights": RIGHTS}
    file = ContentFile(data or serenade(), name="little-serenade.musicxml")
    return library.upload_score(tutor=tutor, file=file, **{**values, **more})


def confirm_everything(version: ScoreVersion, by: User) -> PartsRevision:
    """The doubt-free parts together, each doubt by an act of its own."""
    revision = latest_revision(version)
    assert revision is not None, version.problem
    sure = [part_key(row) for row in revision.parts if not row["doubt"]]
    doubtful = [part_key(row) for row in revision.parts if row["doubt"]]
    if sure:
        revision = confirm_parts(version=version, by=by, keys=sure, together=True)
    for key in doubtful:
        revision = confirm_parts(version=version, by=by, keys=[key])
    return revision


def read_for_real(tutor: User, data: bytes | None = None) -> ScoreVersion:
    """Upload, gate, confirm, read: with real jobs, nothing left out."""
    version = upload(tutor, data)
    drain(most=10, seconds=120)
    version.refresh_from_db()
    assert version.state == ScoreVersion.State.PARTS, version.problem
    confirm_everything(version, tutor)
    drain(most=10, seconds=120)
    version.refresh_from_db()
    assert version.state == ScoreVersion.State.READY, version.problem
    return version


def kept_reading() -> Reading:
    """The session's reading; made at the first call, in a transaction that is undone."""
    if "serenade" not in _KEPT:
        with transaction.atomic():
            version = read_for_real(person("Reader", is_tutor=True))
            _KEPT["serenade"] = _keep(version)
            transaction.set_rollback(True)
    return _KEPT["serenade"]


def _keep(version: ScoreVersion) -> Reading:
    copy = version.canonical
    run = copy.runs.get(current=True)
    return Reading(
        original=storage.get(version.original),
        canonical=storage.get(copy.file),
        copy={k: getattr(copy, k) for k in ("sha256", "gate_version", "title", "notices",
                                            "outline")},
        proposed=version.parts_revisions.get(number=1).parts,
        confirmed=run.parts_revision.parts,
        run={k: getattr(run, k) for k in ("engine_version", "settings", "settings_hash")},
        table=storage.get(run.table),
        findings=storage.get(run.findings),
        rows=[{k: getattr(row, k) for k in _ROW} for row in run.rows.all()],
    )  # fmt: skip


def ready_score(tutor: User, title: str = "I") -> tuple[ScoreVersion, Run]:
    """A score of the tutor's library, read: rows and files as the pipeline leaves them."""
    kept = kept_reading()
    work, _made = Work.objects.get_or_create(tutor=tutor, title="A little serenade")
    score = Score.objects.create(work=work, tutor=tutor, title=title)
    Rights.objects.create(score=score, **RIGHTS)
    version = ScoreVersion(
        score=score, filename="little-serenade.musicxml", size=len(kept.original),
        sha256=kept.copy["sha256"], state=ScoreVersion.State.READY, uploaded_by=tutor,
    )  # fmt: skip
    storage.put(version.original, kept.original)
    version.save()
    copy = CanonicalCopy(version=version, **kept.copy)
    storage.put(copy.file, kept.canonical)
    copy.save()
    PartsRevision.objects.create(version=version, number=1, parts=kept.proposed)
    revision = PartsRevision.objects.create(
        version=version, number=2, parts=kept.confirmed, complete=True, by=tutor
    )
    run = Run(copy=copy, parts_revision=revision, state=Run.State.READY, current=True,
              ready_at=timezone.now(), **kept.run)  # fmt: skip
    storage.put(run.table, kept.table)
    storage.put(run.findings, kept.findings)
    run.save()
    FindingRow.objects.bulk_create(FindingRow(run=run, **row) for row in kept.rows)
    return version, run


# --- courses and what happens in them ----------------------------------------


def make_course(tutor: User, form: str = Course.Form.DATED, title: str = "Evenings") -> Course:
    return Course.objects.create(tutor=tutor, title=title, form=form, zone="Europe/Oslo")


def wall(days: float) -> str:
    """A wall-clock text so many days from now, in UTC."""
    return (timezone.now() + timedelta(days=days)).strftime("%Y-%m-%d %H:%M")


def draft_for(version: ScoreVersion, **more: Any) -> dict[str, Any]:
    """A draft on bars 1-4 with one prompt; `prompt` overrides the prompt's fields."""
    asked = {"title": "Who goes with whom?", "first_bar": 0, "last_bar": 3}
    prompt = drafts.new_prompt(**{**asked, **more.pop("prompt", {})})
    values = {"score_version": str(version.public_id), "closes_wall": wall(7), "prompts": [prompt]}
    return {**drafts.empty_draft(), **values, **more}


def publish(course: Course, version: ScoreVersion, title: str = "First", **more: Any) -> Assignment:
    """A published assignment; for an open course without a closing time."""
    if course.form == Course.Form.OPEN:
        more.setdefault("closes_wall", "")
    made = assignments.create_assignment(course=course, by=course.tutor, title=title)
    assignments.save_draft(
        assignment=made, by=course.tutor, title=title, draft=draft_for(version, **more),
        if_match=made.revision,
    )  # fmt: skip
    assignments.publish(assignment=made, by=course.tutor)
    made.refresh_from_db()
    return made


def make_stage(cast: Cast, form: str = Course.Form.DATED, **more: Any) -> Stage:
    course = make_course(cast.tutor, form)
    other = make_course(cast.other_tutor, title="Mornings")
    for user in (cast.student, cast.fellow):
        enrol(course, user)
    enrol(course, cast.assistant, "assistant")
    enrol(course, cast.guardian, "guardian")
    Guardianship.objects.create(guardian=cast.guardian, student=cast.student)
    enrol(other, cast.stranger)
    version, run = ready_score(cast.tutor)
    assignment = publish(course, version, **more)
    assert assignment.current is not None
    key = str(assignment.current.prompts.get().key)
    Job.objects.all().delete()
    Effect.objects.all().delete()
    return Stage(course, other, version, run, assignment, key)


#: What one may say about the serenade. Bars 1-4: flute = violins an octave above.
OCTAVE = {
    "kind": "doubling", "bars": "1-4", "words": "The flute goes with the violins.",
    "says": {"parts": "Flauto", "with_": "Violino I", "octaves": "1", "coverage": "full"},
}  # fmt: skip
UNISON = {**OCTAVE, "says": {**OCTAVE["says"], "octaves": "0"}}  # type: ignore[dict-item]
FREE = {"kind": "free", "bars": "5-8", "words": "It sounds like dusk.", "says": {}}


def paper_of(student: User, assignment: Assignment) -> Paper:
    return papers.open_paper(student=student, assignment=assignment)


def state(
    paper: Paper, run: Run, typed: dict[str, Any] | None = None, *, key: str = "k1",
    prompt_key: str | None = None, **more: Any,
) -> Observation:  # fmt: skip
    """A statement as typed, saved through the service as the API does it."""
    found = read_typed({**(typed or OCTAVE)}, run)
    assert not found.problems, found.problems
    return observations.save_statement(
        paper=paper, student=paper.student, client_key=key, values=found.values,
        prompt_key=prompt_key, **more,
    )  # fmt: skip


def latest(observation: Observation) -> ObservationVersion:
    observation.refresh_from_db()
    return observations.latest(observation)


def handed_in(stage: Stage, student: User, *typed: dict[str, Any], check: bool = True) -> Paper:
    """The student's paper with these statements, handed in and checked."""
    paper = paper_of(student, stage.assignment)
    for n, said in enumerate(typed or (OCTAVE,), 1):
        state(paper, stage.run, said, key=f"k{n}", prompt_key=stage.prompt_key)
    paper = papers.hand_in(paper=paper, student=student)
    if check:
        drain(most=100, seconds=60)
    return paper


def note(stage: Stage, text: str = "Listen to the flute.", **more: Any) -> Note:
    values = {
        "version": stage.version, "course": stage.course, "first_bar": 0, "last_bar": 1,
        "state": Note.State.PUBLISHED, "author": stage.course.tutor,
    }  # fmt: skip
    return Note.objects.create(**{**values, "text": text, **more})
