"""Who gets what from every address: the table the site is measured by.

One sign an actor, in the order of ACTORS:

    .   let in (a page, JSON, a redirect onwards, or a sentence about the form)
    -   404: for this person there is nothing here
    L   sign in first (a redirect to the door; 403 from the JSON endpoints)

A route and method without a row fails the test that walks the URL conf.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile

from analysis.engine.sound import SOUND_VERSION
from analysis.jobs.models import Job
from analysis.models import Engraving, Overrule, Sound
from analysis.services import overrules
from analysis.services.engravings import ask_sound
from analysis.storage import put
from courses.models import Course, Enrolment, Note, Recording
from submissions.models import Find, NotebookEntry, Observation, Paper
from submissions.services import finds
from submissions.services.notebook import write_entry
from tests.browser.pieces import serenade
from tests.cast import OCTAVE, RIGHTS, Cast, Stage, enrol, handed_in, note, person, state
from tests.recorded import clicks, followed

ACTORS = ("anonymous", "nobody", "stranger", "guardian", "student", "fellow", "assistant",
          "tutor", "other_tutor", "admin")  # fmt: skip


@dataclass
class Props:
    """One object of each kind, all of the tutor's course; a person's things are the student's."""

    stage: Stage
    paper: Paper  # handed in
    statement: Observation
    draft: Observation
    find: Find  # not shown to the group
    note: Note  # published
    overrule: Overrule
    asked: Enrolment
    job: Job
    entry: NotebookEntry
    recording: Recording  # its bars can be followed
    page_key: str = "k" * 64
    reduced_key: str = "reduced-" + "k" * 40

    @property
    def course(self) -> Course:
        return self.stage.course


def make_props(cast: Cast, stage: Stage) -> Props:
    paper = handed_in(stage, cast.student)
    statement = paper.observations.get()
    draft = state(paper, stage.run, {**OCTAVE, "bars": "2-3"}, key="draft")
    find = finds.send_find(
        student=cast.student, course=stage.course, version=stage.version, client_key="f1",
        first_bar=0, last_bar=1, text="Look here.",
    )  # fmt: skip
    word = overrules.overrule(
        version=stage.version, by=cast.tutor, kind="playing", movement=0, first_bar=0, last_bar=0,
        parts=[], says=Overrule.Says.ABSENT, overruled={"kind": "playing"}, reason="It is a cue.",
    )  # fmt: skip
    asked = enrol(stage.course, person("Waiting"), state=Enrolment.State.ASKED)
    entry = write_entry(
        owner=cast.student, client_key="e1", text="Look at the violas.", about="note"
    )
    props = Props(stage, paper, statement, draft, find, note(stage), word, asked, _job(stage),
                  entry, followed(stage.version, cast.tutor))  # fmt: skip
    page = Engraving(copy=stage.run.copy, view_key=props.page_key, view={}, page=1, pages=1)
    put(page.file, b"<svg xmlns='http://www.w3.org/2000/svg'/>")
    page.save()
    short = Engraving(copy=stage.run.copy, view_key=props.reduced_key, view={}, page=1, pages=1)
    put(short.file, b"<svg xmlns='http://www.w3.org/2000/svg'/>")
    short.save()
    sound = Sound(run=stage.run, version=SOUND_VERSION)
    put(sound.midi, b"MThd")
    put(sound.timeline, b"{}")
    sound.save()
    return props


def _job(stage: Stage) -> Job:
    """Somebody waits for the sound; it has stopped, so that it could be tried again."""
    job = ask_sound(stage.run)
    assert isinstance(job, Job)
    Job.objects.filter(pk=job.pk).update(state=Job.State.FAILED, problem="It stopped.")
    job.refresh_from_db()
    return job


Args = Callable[[Props], list[Any]]
Body = Callable[[Props], dict[str, Any]]


def nothing(props: Props) -> list[Any]:
    return []


def empty(props: Props) -> dict[str, Any]:
    return {}


@dataclass(frozen=True)
class Row:
    route: str
    method: str
    who: str
    args: Args = nothing
    body: Body = empty
    json: bool = False
    note: str = field(default="", compare=False)


def course(p: Props) -> list[Any]:
    return [p.course.public_id]


def score(p: Props) -> list[Any]:
    return [p.stage.score.public_id]


def course_score(p: Props) -> list[Any]:
    return [p.course.public_id, p.stage.score.public_id]


def assignment(p: Props) -> list[Any]:
    return [p.stage.assignment.public_id]


def statement(p: Props) -> list[Any]:
    return [p.statement.public_id]


def paper(p: Props) -> list[Any]:
    return [p.paper.public_id]


def own_draft(p: Props) -> list[Any]:
    return [p.paper.public_id, p.draft.client_key]


def new_statement(p: Props) -> list[Any]:
    return [p.paper.public_id, "not-there-yet"]


def find(p: Props) -> list[Any]:
    return [p.find.public_id]


def a_version(p: Props) -> list[Any]:
    return [p.stage.version.public_id]


def a_note_of_the_page(p: Props) -> list[Any]:
    return [p.stage.version.public_id, "n0-0-0"]


def a_note_that_transposes(p: Props) -> list[Any]:
    return [p.stage.version.public_id, "n4-0-0"]


def page(p: Props) -> list[Any]:
    return [p.stage.version.public_id, p.page_key, 1]


def job(p: Props) -> list[Any]:
    return [p.job.public_id]


def a_note(p: Props) -> list[Any]:
    return [p.note.public_id]


def an_entry(p: Props) -> list[Any]:
    return [p.entry.public_id]


def a_recording(p: Props) -> list[Any]:
    return [p.recording.public_id]


def a_recorded_file(p: Props) -> dict[str, Any]:
    said = {**RIGHTS, "entitled": "on", "name": "In spring"}
    return {**said, "recorded": SimpleUploadedFile("spring.wav", clicks([1], 2))}


def some_taps(p: Props) -> dict[str, Any]:
    draft = {"order": "once", "duration": 6, "taps": [{"bar": 0, "pass": 1, "at": 0.5}]}
    return {"draft": json.dumps(draft), "revision": 1}


def a_file(p: Props) -> dict[str, Any]:
    return {"file": SimpleUploadedFile("s.musicxml", serenade() + b"<!-- mended -->")}


def an_upload(p: Props) -> dict[str, Any]:
    return {**RIGHTS, "entitled": "on", "work_title": "W", "title": "II", "order": 2, **a_file(p)}


def a_course(p: Props) -> dict[str, Any]:
    return {"title": "New", "form": "open", "zone": "UTC"}


def a_finding(p: Props) -> dict[str, Any]:
    finding = {"kind": "playing", "movement": 0, "first_bar": 0, "last_bar": 0, "parts": [],
               "value": {"kind": "playing"}}  # fmt: skip
    return {"finding": json.dumps(finding), "reason": "A cue."}


def words(p: Props) -> dict[str, Any]:
    return {"text": "More on this.", "bars": "1-2"}


#                                       anonymous nobody stranger guardian student fellow
#                                       assistant tutor other_tutor admin
ROWS = [
    Row("desk", "GET", "L........."),
    Row("library", "GET", "L------..-"),
    Row("upload", "GET", "L------..-"),
    Row("upload", "POST", "L------..-", body=an_upload),
    Row("upload-corrected", "POST", "L------.--", score, a_file),
    Row("take-down", "POST", "L------.--", score),
    Row("courses", "GET", "L........."),
    Row("new-course", "GET", "L------..-"),
    Row("new-course", "POST", "L------..-", body=a_course),
    Row("course", "GET", "L---....--", course),
    Row("edit-course", "GET", "L------.--", course),
    Row("edit-course", "POST", "L------.--", course, a_course),
    Row("new-word", "POST", "L------.--", course),
    Row("link-score", "POST", "L------.--", course,
        lambda p: {"score": str(p.stage.score.public_id)}),
    Row("decide-enrolment", "POST", "L------.--", lambda p: [p.asked.public_id],
        lambda p: {"answer": "yes"}),
    Row("close-invitation", "POST", "L------.--", course),
    Row("take-out", "POST", "L------.--",
        lambda p: [p.course.enrolments.get(user=p.paper.student).public_id]),
    Row("give-word", "GET", ".........."),
    Row("give-word", "POST", "..........", body=lambda p: {"word": "no-such-word"}),
    Row("join-course", "GET", "..........", note="without a word: back to the word"),
    Row("join-course", "POST", ".........."),
    Row("demo-doors", "GET", "----------", note="exists in demo mode only"),
    Row("demo-enter", "POST", "----------", lambda p: [p.course.tutor.username]),
    Row("new-assignment", "POST", "L------.--", course, lambda p: {"title": "Second"}),
    Row("assignment", "GET", "L------.--", assignment),
    Row("assignment", "POST", "L------.--", assignment, lambda p: {"title": "T", "revision": "2"}),
    Row("board", "GET", "L------.--", assignment),
    Row("give-back", "POST", "L------.--", assignment),
    Row("more-time", "POST", "L------.--", assignment,
        lambda p: {"student": str(p.paper.student.public_id), "until": "2099-01-01T10:00"}),
    Row("review", "GET", "L------.--", assignment),
    Row("trust", "GET", "L------..-"),
    Row("paper", "GET", "L---..----", assignment, note="everybody's own paper"),
    Row("rule", "POST", "L------.--", statement, lambda p: {"reply": "Yes."}),
    Row("thread", "GET", "L---.-..--", statement),
    Row("thread", "POST", "L---.-..--", statement, words),
    Row("read-score", "GET", "L---....--", course_score),
    Row("send-find", "POST", "L---..----", course_score, words),
    Row("finds", "GET", "L........."),
    Row("find", "GET", "L---.-..--", find),
    Row("find", "POST", "L---.-..--", find, words),
    Row("notebook", "GET", "L........."),
    Row("notebook", "POST", "L.........", body=lambda p: {"text": "Mine."}),
    Row("notebook-file", "GET", "L.........", lambda p: ["md"]),
    Row("notebook-entry", "GET", "L---.-----", an_entry),
    Row("notebook-entry", "POST", "L---.-----", an_entry,
        lambda p: {"text": "More.", "number": "1"}),
    Row("notebook-delete", "POST", "L---.-----", an_entry),
    Row("declare-edition", "POST", "L---..----", course, lambda p: {"bars": "4"}),
    Row("words", "GET", "L........."),
    Row("offline-worker", "GET", "..........", note="a script that holds nothing"),
    Row("keep-reader", "POST", "..........", note="one's own choice, signed in or not"),
    Row("kind-form", "GET", "L.........", lambda p: ["doubling"]),
    Row("api-schema", "GET", "L........."),
    Row("api-statements", "GET", "L---.-----", paper),
    Row("api-statement", "PUT", "L---.-----", new_statement, lambda p: OCTAVE, json=True),
    Row("api-statement", "DELETE", "L---.-----", own_draft),
    Row("api-statement-history", "GET", "L---.-----", own_draft),
    Row("api-proposal", "POST", "L---.-----", paper,
        lambda p: {"sentence": "the flute rests"}, json=True),
    Row("api-stage", "POST", "L---.-----", lambda p: [p.paper.public_id, "survey"], json=True),
    Row("api-survey", "PATCH", "L---.-----", paper, lambda p: {"cells": {}}, json=True),
    Row("api-first-answer", "POST", "L---.-----",
        lambda p: [p.paper.public_id, p.stage.prompt_key], json=True),
    Row("api-hand-in", "POST", "L---.-----", paper, json=True),
    Row("score", "GET", "L------.--", score),
    Row("findings", "GET", "L------.--", score),
    Row("parts", "GET", "L------.--", score),
    Row("confirm-parts", "POST", "L------.--", score, lambda p: {"together": "1"}),
    Row("short-score", "GET", "L------.--", score),
    Row("short-score-page", "GET", "L------.--",
        lambda p: [p.stage.score.public_id, p.reduced_key, 1]),
    Row("score-view", "GET", "L---....--", a_version),
    Row("score-page", "GET", "L---....--", page),
    Row("described", "GET", "L---....--", a_version),
    Row("layers", "GET", "L---....--", a_version, note="what may be seen is in the answer"),
    Row("heard-choices", "GET", "L---....--", a_version, note="what may be heard is in the answer"),
    Row("heard", "GET", "L---....--", a_version),
    Row("excerpt", "GET", "L---....--", a_version),
    Row("otherwise", "GET", "L---....--", a_version),
    Row("otherwise-told", "GET", "L---....--", a_version),
    Row("drill", "GET", "L---....--", a_version),
    Row("drill-answer", "GET", "L---....--", a_note_that_transposes),
    Row("note-told", "GET", "L---....--", a_note_of_the_page),
    Row("score-midi", "GET", "L---....--", a_version),
    Row("score-timeline", "GET", "L---....--", a_version),
    Row("attach-recording", "GET", "L------.--", score),
    Row("attach-recording", "POST", "L------.--", score, a_recorded_file),
    Row("tap-recording", "GET", "L------.--", a_recording),
    Row("save-taps", "POST", "L------.--", a_recording, some_taps),
    Row("follow-recording", "POST", "L------.--", a_recording),
    Row("take-down-recording", "POST", "L------.--", a_recording),
    Row("heard-recordings", "GET", "L---....--", a_version),
    Row("recording-timeline", "GET", "L---....--",
        lambda p: [p.stage.version.public_id, p.recording.public_id]),
    Row("recording-sound", "GET", "L---....--", a_recording),
    Row("overrule", "GET", "L------.--", score),
    Row("overrule", "POST", "L------.--", score, a_finding),
    Row("word-on-reading", "GET", "L------.--", score, lambda p: {"kind": "doubling"}),
    Row("word-on-reading", "POST", "L------.--", score, lambda p: {"kind": "doubling"}),
    Row("withdraw-overrule", "GET", "L------.--", lambda p: [p.overrule.public_id]),
    Row("withdraw-overrule", "POST", "L------.--", lambda p: [p.overrule.public_id]),
    Row("place-overrule", "GET", "L------.--", lambda p: [p.overrule.public_id]),
    Row("place-overrule", "POST", "L------.--", lambda p: [p.overrule.public_id],
        lambda p: {"bars": "1-2"}),
    Row("write-note", "GET", "L------.--", score),
    Row("write-note", "POST", "L------.--", score, words),
    Row("edit-note", "GET", "L------.--", a_note),
    Row("edit-note", "POST", "L------.--", a_note, words),
    Row("place-note", "GET", "L------.--", a_note),
    Row("place-note", "POST", "L------.--", a_note, lambda p: {"bars": "1-2"}),
    Row("delete-note", "GET", "L------.--", a_note),
    Row("delete-note", "POST", "L------.--", a_note),
    Row("jobs:progress", "GET", "L---....--", job),
    Row("jobs:retry", "POST", "L---....--", job),
    Row("healthz", "GET", ".........."),
    Row("readyz", "GET", ".........."),
]  # fmt: skip

#: Pages of the account packages: a person's own account, no object of the site in them.
OWN_ACCOUNT = {
    "account_login", "account_logout", "account_inactive", "account_signup",
    "account_reauthenticate", "account_email", "account_email_verification_sent",
    "account_change_password", "account_set_password", "account_reset_password",
    "account_confirm_login_code", "account_confirm_email",
    "account_reset_password_from_key_done", "account_reset_password_from_key",
    "account_reset_password_done", "mfa_index", "mfa_authenticate", "mfa_reauthenticate",
    "mfa_activate_totp", "mfa_deactivate_totp", "mfa_view_recovery_codes",
    "mfa_generate_recovery_codes", "mfa_download_recovery_codes",
}  # fmt: skip

#: The site admin's rooms: accounts and groups, nothing of what people wrote.
ADMIN_MODELS = {"auth.group", "account.emailaddress", "mfa.authenticator"}
