"""Hidden answers are found nowhere before release: words planted where answers stand (S4).

The crawl follows every link a student is given, and then asks every address with every
public id there is, as if all of them had been guessed. Bytes and headers are searched.
"""

from __future__ import annotations

import itertools
import json
import re
from collections.abc import Iterable
from datetime import timedelta
from typing import Any
from urllib.parse import quote, urldefrag, urljoin

import pytest
from django.apps import apps
from django.test import Client
from django.urls import NoReverseMatch, reverse
from django.utils import timezone

from analysis import storage
from analysis.engine import findings as findings_json
from analysis.engine.model import Sentence
from analysis.engine.sound.otherwise import HOWS
from analysis.jobs.models import Job
from analysis.models import FindingRow, Run
from analysis.services import overrules
from analysis.storage import computed_findings, put
from courses.models import Extension, Note, Prompt, ScoreVersion, User
from courses.services import assignments, joining
from courses.stages import LAYERS
from submissions.models import Check
from submissions.services import finds
from submissions.services.notebook import write_entry
from submissions.services.papers import release
from submissions.services.rulings import rule
from tests.cast import FREE, OCTAVE, UNISON, Cast, Stage, draft_for, handed_in, latest, note, state
from tests.permissions.matrix import ROWS
from tests.recorded import attached
from tests.rewrite import rewrite

pytestmark = [pytest.mark.django_db, pytest.mark.slow]

#: What the student gets with the own paper, and what stays with others for good.
OWN_LATER = {"reply", "sentence", "model-answer", "note-after", "thread"}
NEVER = {
    "reason", "note-private", "note-own", "fellow-words", "fellow-doubt", "fellow-reply",
    "fellow-find", "fellow-thread", "draft-words", "assignment-draft", "extension", "overrule",
    "filename", "finding", "finding-row", "word", "job", "truth", "fellow-notebook",
    "untapped", "recorded-name",
}  # fmt: skip


def canary(name: str) -> str:
    return f"CANARY-{name}-SINGS"


def found_in(data: bytes) -> set[str]:
    return {m.decode() for m in re.findall(rb"CANARY-([a-z-]+)-SINGS", data)}


def plant(cast: Cast, stage: Stage) -> None:
    """Everything an answer can hide in; checked, ruled on, not released."""
    rewrite(Prompt.objects.all(), model_answer=canary("model-answer"))
    for prompt in stage.assignment.draft["prompts"]:
        prompt["model_answer"] = canary("model-answer")
    stage.assignment.save()
    note(stage, canary("note-private"), state=Note.State.PRIVATE)
    note(stage, canary("note-own"), course=None)
    note(stage, canary("note-after"), after_release=True)
    paper = handed_in(stage, cast.student, OCTAVE, UNISON)
    theirs = handed_in(
        stage, cast.fellow, {**OCTAVE, "words": canary("fellow-words")},
        {**FREE, "words": canary("fellow-words"), "doubt": canary("fellow-doubt")},
    )  # fmt: skip
    for check in Check.objects.all():
        own = check.observation_version.observation.student_id == cast.student.pk
        text = canary("sentence" if own else "fellow-words")
        said = [{"template": "claim.answer.truth", "params": {"text": text}}]
        truth = [{"template": "claim.answer.truth", "params": {"text": canary("truth")}}]
        rewrite(
            Check.objects.filter(pk=check.pk),
            sentences={"sentence": said, "note": truth, "truth": truth},
            answer={**check.answer, "sentence": text, "note": canary("truth")},
        )
    for sheet, reply in ((paper, "reply"), (theirs, "fellow-reply")):
        for observation in sheet.observations.all():
            rule(statement=latest(observation), by=cast.tutor,
                 flag=latest(observation).checks.get(current=True).flag,
                 reply=canary(reply), reason=canary("reason"))  # fmt: skip
    state(_paper(theirs), stage.run, {**FREE, "words": canary("draft-words")}, key="draft")
    write_entry(owner=cast.fellow, client_key="n", about="note", text=canary("fellow-notebook"))
    _finds(cast, stage, theirs)
    _tutors_room(cast, stage)


def _paper(paper: Any) -> Any:
    paper.refresh_from_db()
    return paper


def _finds(cast: Cast, stage: Stage, theirs: Any) -> None:
    said = canary("fellow-find")
    where = {"course": stage.course, "version": stage.version, "first_bar": 0, "last_bar": 1}
    for n, shown in enumerate((False, True)):  # the second one is hidden by the open assignment
        find = finds.send_find(student=cast.fellow, client_key=f"f{n}", text=said, title=said,
                               shown_to_group=shown, **where)  # fmt: skip
        finds.answer(author=cast.tutor, client_key=f"a{n}", text=canary("fellow-thread"), find=find)
    finds.answer(author=cast.tutor, client_key="a9", text=canary("fellow-thread"),
                 observation=theirs.observations.order_by("pk")[0])  # fmt: skip


def _tutors_room(cast: Cast, stage: Stage) -> None:
    plan = assignments.create_assignment(
        course=stage.course, by=cast.tutor, title=canary("assignment-draft")
    )
    draft = draft_for(stage.version, text=canary("assignment-draft"))
    assignments.save_draft(
        assignment=plan, by=cast.tutor, title=canary("assignment-draft"), draft=draft,
        if_match=plan.revision,
    )  # fmt: skip
    Extension.objects.create(assignment=stage.assignment, student=cast.fellow,
                             closes_at=timezone.now() + timedelta(days=9),
                             reason=canary("extension"))  # fmt: skip
    overrules.overrule(version=stage.version, by=cast.tutor, kind="playing", movement=0,
                       first_bar=0, last_bar=0, parts=[], says="absent",
                       overruled={"kind": "playing"}, reason=canary("overrule"))  # fmt: skip
    ScoreVersion.objects.update(filename=canary("filename"))
    attached(stage.version, cast.tutor, name=canary("untapped"), source=canary("recorded-name"))
    FindingRow.objects.update(sentence={"template": canary("finding-row"), "params": {}})
    said = Sentence("claim.answer.truth", {"text": canary("finding")})
    from dataclasses import replace

    loud = [replace(f, sentence=said) for f in computed_findings(stage.run)]
    run = Run.objects.get(pk=stage.run.pk)
    put(run.findings, findings_json.dumps(loud))
    run.save()
    invitation, _word = joining.invite(course=stage.course, by=cast.tutor)
    invitation.hint = canary("word")
    invitation.save()
    Job.objects.update(problem=canary("job"), doing=canary("job"))


# --- the crawl -----------------------------------------------------------------


class Crawl:
    def __init__(self, user: User) -> None:
        self.client = Client()
        self.client.force_login(user)
        self.asked: set[str] = set()
        self.found: dict[str, set[str]] = {}
        self.answers = 0

    def ask(self, url: str, method: str = "get", **more: Any) -> bytes:
        answer = getattr(self.client, method)(url, **more)
        assert answer.status_code < 500, url
        self.answers += 1
        body = b"".join(answer) if answer.streaming else answer.content
        heads = repr(sorted(answer.headers.items())).encode()
        for name in found_in(body + heads):
            self.found.setdefault(name, set()).add(url)
        return bytes(body)

    def follow(self, start: Iterable[str]) -> None:
        waiting = list(start)
        while waiting:
            url = waiting.pop()
            if url in self.asked:
                continue
            self.asked.add(url)
            body = self.ask(url).decode("utf-8", "replace")
            waiting.extend(self._links(url, body))

    def _links(self, url: str, body: str) -> list[str]:
        links = re.findall(r'(?:href|src|action|hx-get|data-[a-z-]*url)="([^"]+)"', body)
        whole = [urldefrag(urljoin(url, link.replace("&amp;", "&")))[0] for link in links]
        return [
            link for link in whole
            if link.startswith("/") and not link.startswith(("/static/", "/account/"))
        ]  # fmt: skip

    def guess(self) -> None:
        """Every GET address with every public id of every kind of thing."""
        ids = {
            model._meta.model_name: list(model.objects.values_list("public_id", flat=True))
            for model in apps.get_models()
            if any(f.name == "public_id" for f in model._meta.fields)
        }
        every = list(itertools.chain.from_iterable(ids.values()))
        for row in ROWS:
            if row.method != "GET" or row.route in {"healthz", "readyz"}:
                continue
            try:
                reverse(row.route, args=[every[0]])
            except NoReverseMatch:
                continue
            for public_id in every:
                self.ask(reverse(row.route, args=[public_id]))
        for course, score in itertools.product(ids["course"], ids["score"]):
            self.ask(reverse("read-score", args=[course, score]))


def engraved(crawl: Crawl, stage: Stage, drain_jobs: Any) -> int:
    """Ask for views as the page does, let the worker make them, and fetch them."""
    view = reverse("score-view", args=[stage.version.public_id])
    pages = 0
    for query in (
        "",
        "?first=0&last=3",
        "?parts=P1&pitch=sounding",
        "?first=99",
        "?first=2&last=1",
    ):
        crawl.ask(view + query)
        drain_jobs()
        state = json.loads(crawl.ask(view + query))
        for page in range(1, (state.get("pages") or 0) + 1):
            args = [stage.version.public_id, state["key"], page]
            crawl.ask(reverse("score-page", args=args))
            pages += 1
    return pages


def layers_seen(crawl: Crawl, stage: Stage) -> Any:
    where = reverse("layers", args=[stage.version.public_id])
    return json.loads(crawl.ask(f"{where}?first=0&last=7&layers={','.join(LAYERS)}"))


def told_and_heard(stage: Stage) -> list[str]:
    """The addresses of sound and drill as the page's scripts ask for them, with every choice.

    Their choices are the tutor's: those of a student must not be needed to guess one.
    """
    tutor, file = Client(), [stage.version.public_id]
    tutor.force_login(stage.course.tutor)
    bars = "first=0&last=3"
    offered = tutor.get(reverse("heard-choices", args=file) + f"?{bars}").json()["choices"]
    assert len(offered) > 3
    changed = f"{bars}&part=P3&how={HOWS[0]}"
    note_id = next(i for i in storage.table_of(stage.run).ids if i.startswith("n1-"))  # the horn
    urls = [
        reverse("heard-choices", args=file) + f"?{bars}",
        reverse("excerpt", args=file) + f"?{bars}&silent=P5&tempo=1.2",
        reverse("otherwise", args=file) + f"?{changed}&as=otherwise",
        reverse("otherwise", args=file) + f"?{changed}&blind=7",
        reverse("otherwise-told", args=file) + f"?{changed}&blind=7",
        reverse("drill", args=file) + f"?{bars}&turn=0",
        reverse("drill-answer", args=[*file, note_id]) + "?way=sounds&said=C+4&tell=1",
    ]
    for choice in offered:
        for how in ("only", "without"):
            urls.append(reverse("heard", args=file) + f"?{bars}&{how}={quote(choice['key'])}")
    urls.append(reverse("excerpt", args=file) + f"?{bars}&only={quote(offered[0]['key'])}")
    return urls


def whole_crawl(user: User, stage: Stage, drain_jobs: Any, *, answered: bool = False) -> Crawl:
    """`answered`: the bars asked about were given back to this student."""
    crawl = Crawl(user)
    file = [stage.version.public_id]
    crawl.ask(reverse("score-midi", args=file))
    assert engraved(crawl, stage, drain_jobs) >= 2
    assert crawl.ask(reverse("score-midi", args=file)).startswith(b"MThd")
    crawl.ask(reverse("score-timeline", args=file))
    for query in ("first=0&last=3", "bars=1-4&form=full"):
        crawl.ask(reverse("described", args=file) + f"?{query}")
    seen = layers_seen(crawl, stage)
    assert bool(seen["marks"]) == bool(seen["allowed"]) == answered, "no stage allows any"
    assert all(mark["last"] <= 3 for mark in seen["marks"]), "nobody was asked about more"
    client = crawl.client
    for url in told_and_heard(stage):
        crawl.ask(url)
        chosen = "only=" in url or "without=" in url
        assert client.get(url).status_code == (404 if chosen and not answered else 200), url
    for note_id in storage.table_of(stage.run).ids[::20]:
        crawl.ask(reverse("note-told", args=[*file, note_id]))
    crawl.follow([reverse("desk"), reverse("finds"), reverse("courses"), reverse("api-schema")])
    paper = stage.assignment.papers.get(student=user)
    crawl.ask(reverse("api-statements", args=[paper.public_id]))
    crawl.guess()
    return crawl


def _of_find(student: User, **which: Any) -> list[str]:
    return [reverse("find", args=[find.public_id]) for find in student.finds.filter(**which)]


def test_no_canary_before_release_and_the_own_ones_after(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    plant(cast, stage)
    before = whole_crawl(cast.student, stage, drain_jobs)
    assert before.found == {}
    assert before.answers > 500

    release(paper=stage.assignment.papers.get(student=cast.student), by=cast.tutor)
    own = stage.assignment.papers.get(student=cast.student).observations.order_by("pk")[0]
    finds.answer(author=cast.tutor, client_key="t", text=canary("thread"), observation=own)
    after = whole_crawl(cast.student, stage, drain_jobs, answered=True)
    # The fellow's find on these bars was shown to the group; the paper given back uncovers it.
    assert set(after.found) == OWN_LATER | {"fellow-find"}
    assert after.found["fellow-find"].isdisjoint(_of_find(cast.fellow, shown_to_group=False))

    theirs = whole_crawl(cast.fellow, stage, drain_jobs)
    assert set(theirs.found) == {"fellow-words", "fellow-doubt", "fellow-find", "fellow-thread",
                                 "draft-words", "fellow-notebook"}  # fmt: skip


def test_the_canaries_do_sing_where_the_tutor_looks(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    """The crawl can find: what it does not find for the student, it finds for the tutor."""
    plant(cast, stage)
    crawl = Crawl(cast.tutor)
    crawl.follow([reverse("desk")])
    crawl.guess()
    assert {m["layer"] for m in layers_seen(crawl, stage)["marks"]} >= {"melody", "doublings"}
    for observation in stage.assignment.papers.get(student=cast.student).observations.all():
        crawl.ask(reverse("review", args=[stage.assignment.public_id])
                  + f"?statement={observation.public_id}")  # fmt: skip
    missing = (OWN_LATER | NEVER) - set(crawl.found)
    # No page shows the rows to anybody; a draft and a notebook are their student's alone; no
    # turn was written.
    assert missing == {"finding-row", "draft-words", "thread", "fellow-notebook"}
