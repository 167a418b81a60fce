"""What was stated, said back in words: to the student, and to the tutor in the thread."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from submissions.feedback import check_words, tutor_words
from submissions.models import Check
from submissions.said import in_a_line
from submissions.services.papers import release
from submissions.services.rulings import rule
from submissions.stock import stock_sentences
from tests.cast import (
    FREE,
    OCTAVE,
    UNISON,
    Cast,
    Stage,
    handed_in,
    latest,
    make_stage,
    paper_of,
    state,
)

pytestmark = pytest.mark.django_db

ROLE = {
    "kind": "role", "bars": "1-4", "words": "It only marks time.", "doubt": "or a bass line?",
    "says": {"parts": "Violoncello", "role": "pulse"},
}  # fmt: skip


def test_a_statement_is_told_by_its_labels(cast: Cast, stage: Stage) -> None:
    made = latest(state(paper_of(cast.student, stage.assignment), stage.run, OCTAVE))
    assert in_a_line(made, stage.run.copy.outline) == (
        "Parts: Flauto · go with: Violino I · How far apart, in sound: one octave above"
        " · How much of it: the whole line"
    )


def test_the_answers_say_first_what_was_stated(cast: Cast, stage: Stage, client: Client) -> None:
    paper = handed_in(stage, cast.student, ROLE)
    statement = latest(paper.observations.get())
    rule(statement=statement, by=cast.tutor, flag="partly")
    release(paper=paper, by=cast.tutor)
    client.force_login(cast.student)
    page = client.get(reverse("paper", args=[stage.assignment.public_id])).content.decode()
    answer = page[page.index('class="answer"') : page.index('class="answer-acts"')]
    told = "A part’s job", "Their job: pulse", "It only marks time.", "or a bass line?", "partly"
    places = [answer.index(words) for words in told]
    assert places == sorted(places), "statement, words and doubt stand above the flag"
    assert "</strong> role" not in answer
    thread = client.get(reverse("thread", args=[statement.observation.public_id]))
    assert "Their job: pulse" in thread.content.decode()


def test_what_is_for_the_ear_is_said_to_the_tutor_without_a_figure(
    cast: Cast, stage: Stage, client: Client
) -> None:
    paper = handed_in(stage, cast.student, FREE, OCTAVE)
    free, octave = paper.observations.order_by("pk")
    client.force_login(cast.tutor)
    where = reverse("review", args=[stage.assignment.public_id])
    page = client.get(f"{where}?statement={free.public_id}").content.decode()
    assert "yours to hear" in page
    assert "computed</span>" not in page
    assert "sure to" not in page
    assert "your tutor" not in page
    assert "computed" in client.get(f"{where}?statement={octave.public_id}").content.decode()


def test_a_job_is_shown_among_all_parts_and_beside_its_question(cast: Cast, client: Client) -> None:
    stage = make_stage(cast, prompt={"text": "Who keeps the time here?"})
    paper = handed_in(stage, cast.student, ROLE, OCTAVE)
    role, octave = paper.observations.order_by("pk")
    client.force_login(cast.tutor)
    where = reverse("review", args=[stage.assignment.public_id])
    page = client.get(f"{where}?statement={role.public_id}").content.decode()
    assert "Who keeps the time here?" in page
    assert 'id="with-all" aria-pressed="true"' in page
    page = client.get(f"{where}?statement={octave.public_id}").content.decode()
    assert 'id="with-all" aria-pressed="false"' in page


def test_no_stock_reply_asserts_what_is_only_suspected(cast: Cast, stage: Stage) -> None:
    statement = latest(handed_in(stage, cast.student, UNISON).observations.get())
    check = statement.checks.get(current=True)
    truth = check_words(check)["truth"]
    outline = stage.run.copy.outline
    assert check.flag != "ear"
    assert truth in stock_sentences(statement, check, outline)
    check.flag = "ear"
    assert truth not in stock_sentences(statement, check, outline)


def test_the_opener_for_the_student_is_dropped_on_the_tutors_screen() -> None:
    said = [{"template": "claim.answer.ear", "params": {}},
            {"template": "claim.answer.unsure", "params": {}}]  # fmt: skip
    check = Check(sentences={"sentence": said})
    assert check_words(check)["sentence"].startswith("For your tutor's ear:")
    assert tutor_words(check)["sentence"] == "I am not sure enough to say."
