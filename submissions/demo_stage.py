"""Before anybody writes: people, the piece read, assignments, the tutor's notes."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.files.base import ContentFile
from django.utils import timezone

from analysis.jobs.worker import drain
from analysis.models import Run
from analysis.selectors import current_run
from courses import drafts
from courses.bars import movement_of, parse_bars
from courses.models import (
    Assignment,
    Course,
    Enrolment,
    Note,
    Rights,
    Score,
    ScoreVersion,
    User,
)
from courses.services import assignments, joining, library
from courses.services.notes import write_note
from courses.services.parts import confirm_parts, latest_revision, part_key
from courses.stages import new_stage
from submissions.models import Observation

FOLDER = Path(settings.BASE_DIR) / "demo"
PATIENCE = 240.0  # seconds for a score or a paper to be read

Row = dict[str, Any]


class NotMade(Exception):
    """The demo course could not be made; the sentence says why."""


@dataclass
class Made:
    """What is there now, by the names the scenario uses."""

    course: Course
    tutor: User
    people: dict[str, User]
    scores: dict[int, ScoreVersion] = field(default_factory=dict)
    assignments: dict[str, Assignment] = field(default_factory=dict)
    observations: dict[str, Observation] = field(default_factory=dict)
    accounts: list[tuple[str, str, str]] = field(default_factory=list)

    def run(self, movement: int) -> Run:
        run = current_run(self.scores[movement])
        if run is None:
            raise NotMade(f"Movement {movement} of the demo piece has no reading.")
        return run

    def place(self, movement: int, bars: str) -> Row:
        """Printed bars as stored indices."""
        outline = self.run(movement).copy.outline
        first, last = parse_bars(bars, outline)
        return {"first_bar": first, "last_bar": last, "movement": movement_of(first, outline)}


# --- people and the course ------------------------------------------------------


def people(plan: Row, now: datetime) -> Made:
    tutor = _person(plan["tutor"], is_tutor=True)
    course = _course(plan["course"], tutor, now)
    people = {tutor.username: tutor}
    accounts = [(tutor.username, tutor.display_name, plan["tutor"]["who"])]
    word = ""
    for row in plan["students"]:
        student = _person(row)
        people[student.username] = student
        accounts.append((student.username, student.display_name, row["who"]))
        if not Enrolment.objects.filter(course=course, user=student).exists():
            if not word:
                _invitation, word = joining.invite(course=course, by=tutor, days=60)
            _join(course, student, word, row)
    return Made(course=course, tutor=tutor, people=people, accounts=accounts)


def _person(row: Row, **more: Any) -> User:
    """An account nobody can sign in to with a password: the demo doors need none."""
    known = User.objects.filter(username=row["username"]).first()
    return known or User.objects.create_user(
        username=row["username"],
        password=None,
        display_name=row["display_name"],
        age_band=User.AgeBand.ADULT,
        **more,
    )


def _course(row: Row, tutor: User, now: datetime) -> Course:
    known = Course.objects.filter(tutor=tutor).order_by("pk").first()  # whatever its title now
    return known or Course.objects.create(
        tutor=tutor,
        title=row["title"],
        about=row["about"],
        form=row["form"],
        zone=row["zone"],
        starts_on=(now + timedelta(days=row["starts_days"])).date(),
        ends_on=(now + timedelta(days=row["ends_days"])).date(),
    )


def _join(course: Course, student: User, word: str, row: Row) -> None:
    """By the word, as everybody; the tutor's yes follows unless the scenario keeps it back."""
    invitation = joining.find_invitation(word, who=f"demo:{student.username}")
    enrolment = joining.ask_in(
        user=student, invitation=invitation, age_band=User.AgeBand.ADULT, agreed=True
    )
    if row.get("asks", False):
        return
    joining.decide(enrolment=enrolment, by=course.tutor, yes=True)


# --- the piece --------------------------------------------------------------------


def score(made: Made, plan: Row, row: Row) -> ScoreVersion:
    """Upload, confirm, wait for the reading."""
    score = Score.objects.filter(tutor=made.tutor, title=row["title"]).first()
    version = score.versions.order_by("-number").first() if score else None
    if version is None:
        path = FOLDER / row["file"]
        rights = {**plan["rights"], "basis": Rights.Basis.OWN, "entitled": True}
        rights["assessed_on"] = timezone.now().date()
        version = library.upload_score(
            tutor=made.tutor,
            work_title=plan["work"]["title"],
            title=row["title"],
            order=row["movement"],
            file=ContentFile(path.read_bytes(), name=path.name),
            rights=rights,
        )
    states = ScoreVersion.State
    _until(version, {states.PARTS, states.READING, states.READY})
    if version.state == states.PARTS:
        _confirm(version, made.tutor)
    _until(version, {states.READY})
    made.course.scores.add(version.score)
    return version


def _until(version: ScoreVersion, states: set[Any]) -> None:
    """Do what waits, in this process; beside a running worker some of it is done there."""

    def there() -> bool:
        version.refresh_from_db()
        if version.state in {ScoreVersion.State.REFUSED, ScoreVersion.State.FAILED}:
            raise NotMade(f"{version.filename}: {version.problem}")
        return version.state in states

    wait(there, f"{version.filename} was not read within {PATIENCE:.0f} seconds.")


def wait(there: Callable[[], bool], sentence: str) -> None:
    began = time.monotonic()
    while not there():
        if time.monotonic() - began > PATIENCE:
            raise NotMade(sentence)
        if not drain(most=200, seconds=PATIENCE):
            time.sleep(0.2)


def _confirm(version: ScoreVersion, tutor: User) -> None:
    """The doubt-free parts together, each doubt by an act of its own."""
    revision = latest_revision(version)
    open_rows = [row for row in revision.parts if not row["confirmed"]] if revision else []
    sure = [part_key(row) for row in open_rows if not row["doubt"]]
    if sure:
        confirm_parts(version=version, by=tutor, keys=sure, together=True)
    for row in open_rows:
        if row["doubt"]:
            confirm_parts(version=version, by=tutor, keys=[part_key(row)])


# --- assignments and notes ----------------------------------------------------------


def assignment(made: Made, row: Row, known: Assignment | None, now: datetime) -> Assignment:
    if known and known.current:
        return known
    assignment = known or assignments.create_assignment(
        course=made.course, by=made.tutor, title=row["title"]
    )
    draft = {
        **drafts.empty_draft(),
        "text": row["text"],
        "score_version": str(made.scores[row["movement"]].public_id),
        "zone": made.course.zone,
        "opens_wall": _wall(made.course, now, row["opens_days"]),
        "closes_wall": _wall(made.course, now, row["closes_days"]),
        "prompts": [_prompt(made, row["movement"], prompt) for prompt in row["prompts"]],
        "stages": [new_stage(**stage) for stage in row.get("stages", [])],
    }
    assignments.save_draft(
        assignment=assignment,
        by=made.tutor,
        title=row["title"],
        draft=draft,
        if_match=assignment.revision,
    )
    assignments.publish(assignment=assignment, by=made.tutor)
    assignment.refresh_from_db()
    return assignment


def _wall(course: Course, now: datetime, days: int) -> str:
    """Eight in the evening, so many days from now, on the wall of the course."""
    day = (now + timedelta(days=days)).astimezone(ZoneInfo(course.zone))
    return f"{day:%Y-%m-%d} 20:00"


def _prompt(made: Made, movement: int, row: Row) -> Row:
    fields = {k: v for k, v in row.items() if k != "bars"}
    return drafts.new_prompt(**fields, **made.place(movement, row["bars"]))


def notes(made: Made, plan: Row) -> None:
    if Note.objects.filter(author=made.tutor).count() >= len(plan["notes"]):
        return  # perhaps with other words by now
    for row in plan["notes"]:
        version, place = made.scores[row["movement"]], made.place(row["movement"], row["bars"])
        if Note.objects.filter(author=made.tutor, version=version, text=row["text"]).exists():
            continue
        published = row["published"]
        write_note(
            author=made.tutor,
            version=version,
            **place,
            text=row["text"],
            state=Note.State.PUBLISHED if published else Note.State.PRIVATE,
            course=made.course if published else None,
            order=row.get("order"),
            lit=_parts(row.get("lit", [])),
            sounding=_parts(row.get("sounding", [])),
        )


def _parts(ids: list[str]) -> list[Row]:
    return [{"part": part, "player": None} for part in ids]
