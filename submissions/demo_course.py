"""The demo course out of demo/scenario.json, made through the services the pages use.

Everything is looked up before it is made, so that a second call changes nothing, and a
call that was cut off can be made again.
"""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from itertools import zip_longest
from typing import Any

from django.utils import timezone

from courses.models import Assignment, User
from submissions import demo_stage as stage
from submissions.demo_recording import record
from submissions.demo_stage import FOLDER, PATIENCE, Made, NotMade, Row
from submissions.models import Find, Message, Observation, Paper, Ruling
from submissions.services import finds, observations, papers, rulings
from submissions.services.notebook import place_in, write_entry
from submissions.typed import read_typed

WRITTEN_BEFORE_CLOSING = timedelta(days=1)

__all__ = ["Made", "NotMade", "make", "scenario"]


def scenario() -> Row:
    text = (FOLDER / "scenario.json").read_text(encoding="utf-8")
    return dict(json.loads(text))


def make() -> Made:
    """The whole demo course; returns what is there."""
    plan, now = scenario(), timezone.now()
    made = stage.people(plan, now)
    for row in plan["scores"]:
        made.scores[row["movement"]] = stage.score(made, plan, row)
    there = list(made.course.assignments.order_by("pk"))[: len(plan["assignments"])]
    for row, known in zip_longest(plan["assignments"], there):
        made.assignments[row["key"]] = stage.assignment(made, row, known, now)
    stage.notes(made, plan)
    for row in plan["recordings"]:
        record(made, plan, row)
    _papers(made, plan["observations"], now)
    _rulings(made, plan["observations"])
    _give_back(made, plan["given_back"])
    _threads(made, plan["observations"])
    _finds(made, plan["finds"])
    _notebooks(made, plan["notebook"])
    return made


# --- papers ---------------------------------------------------------------------------


def _papers(made: Made, rows: list[Row], now: datetime) -> None:
    """What is handed in first; drafts come after, so that they stay drafts."""
    for key, assignment in made.assignments.items():
        mine = [row for row in rows if row["assignment"] == key]
        for username in dict.fromkeys(row["student"] for row in mine):
            own = [row for row in mine if row["student"] == username]
            _paper(made, assignment, made.people[username], own, now)
    stage.wait(
        lambda: not _unchecked(made),
        f"The statements of the demo were not checked within {PATIENCE:.0f} seconds.",
    )


def _paper(
    made: Made, assignment: Assignment, student: User, rows: list[Row], now: datetime
) -> None:
    closing = assignment.current.closes_at if assignment.current else None
    then = min(now, closing - WRITTEN_BEFORE_CLOSING) if closing else now
    known = Paper.objects.filter(student=student, assignment=assignment).first()
    paper = known or papers.open_paper(student=student, assignment=assignment, now=then)
    for draft in (False, True):
        for row in rows:
            if row["draft"] is draft:
                made.observations[row["id"]] = _statement(made, paper, row, then)
        waiting = [made.observations[r["id"]] for r in rows if not r["draft"]]
        if not draft and any(o.state == Observation.State.DRAFT for o in waiting):
            paper = papers.hand_in(paper=paper, student=student, now=then)
            for observation in waiting:
                observation.refresh_from_db()


def _statement(made: Made, paper: Paper, row: Row, then: datetime) -> Observation:
    known = paper.observations.filter(client_key=row["id"]).first()
    if known:
        return known
    assert paper.assignment.current is not None
    movement = paper.assignment.current.score_version.score.order
    found = read_typed(row, made.run(movement))
    if found.problems and not row["draft"]:
        raise NotMade(f"Statement {row['id']} of the demo: {found.problems}")
    prompts = list(paper.assignment.current.prompts.all())
    prompt = None if row["prompt"] is None else prompts[row["prompt"] - 1]
    return observations.save_statement(
        paper=paper,
        student=paper.student,
        client_key=row["id"],
        values=found.values,
        prompt_key=str(prompt.key) if prompt else None,
        now=then,
    )


def _unchecked(made: Made) -> list[Observation]:
    """Handed in, and nobody has compared it yet."""
    own = Observation.objects.filter(pk__in=[o.pk for o in made.observations.values()])
    return list(
        own.filter(state=Observation.State.HANDED_IN).exclude(versions__checks__current=True)
    )


# --- the tutor's answers -----------------------------------------------------------------


def _rulings(made: Made, rows: list[Row]) -> None:
    for row in rows:
        word = row.get("ruling")
        observation = made.observations[row["id"]]
        known = Ruling.objects.filter(observation_version__observation=observation).exists()
        if word and not known:
            statement = observations.latest(observation)
            rulings.rule(statement=statement, by=made.tutor, **word)


def _give_back(made: Made, rows: list[Row]) -> None:
    for row in rows:
        student, assignment = made.people[row["student"]], made.assignments[row["assignment"]]
        paper = Paper.objects.get(assignment=assignment, student=student)
        if paper.state == Paper.State.RULED and not paper.releases.exists():
            papers.release(paper=paper, by=made.tutor)


def _threads(made: Made, rows: list[Row]) -> None:
    for row in rows:
        _turns(made, row, observation=made.observations[row["id"]])


def _turns(made: Made, row: Row, **thread: Any) -> None:
    """Turn by turn; whoever answers has read what was said before."""
    for n, turn in enumerate(row.get("thread", []), 1):
        author, key = made.people[turn["by"]], f"{row['id']}-{n}"
        if Message.objects.filter(author=author, client_key=key).exists():
            continue
        unread = Message.objects.filter(read_at=None, **thread).exclude(author=author)
        unread.update(read_at=timezone.now())
        finds.answer(author=author, client_key=key, text=turn["text"], **thread)


def _finds(made: Made, rows: list[Row]) -> None:
    for row in rows:
        student = made.people[row["student"]]
        known = Find.objects.filter(student=student, client_key=row["id"]).first()
        find = known or finds.send_find(
            student=student,
            course=made.course,
            version=made.scores[row["movement"]],
            client_key=row["id"],
            **made.place(row["movement"], row["bars"]),
            text=row["text"],
            title=row["title"],
            shown_to_group=row["shown_to_group"],
        )
        _turns(made, row, find=find)


def _notebooks(made: Made, rows: list[Row]) -> None:
    """What is there stays, whatever its words are now; what was taken out may come back."""
    for row in rows:
        version = made.scores[row["movement"]]
        write_entry(
            owner=made.people[row["student"]],
            client_key=row["id"],
            text=row["text"],
            about=row["about"],
            composer=row["composer"],
            **place_in(version, row["bars"]),
        )
