"""How far a prompt is compared: compared, flagged for the tutor alone, not looked at."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from courses.models import Prompt
from courses.services import assignments
from submissions import checking
from submissions.models import Check, Paper
from submissions.services.papers import release
from submissions.services.rulings import rule
from submissions.sight import may_see
from tests.cast import UNISON, Cast, Stage, handed_in, latest, make_stage

pytestmark = pytest.mark.django_db
NOT_COMPARED = "Not compared, by the tutor\u2019s wish"


def staged(cast: Cast, wish: str, *typed: dict[str, Any]) -> tuple[Stage, Paper]:
    stage = make_stage(cast, prompt={"checked": wish})
    return stage, handed_in(stage, cast.student, *typed)


def page(user: Any, name: str, thing: Any) -> str:
    client = Client()
    client.force_login(user)
    return client.get(reverse(name, args=[thing.public_id])).content.decode()


def ruled(cast: Cast, paper: Paper, **more: Any) -> Check:
    """The tutor's word, and the paper given back."""
    statement = latest(paper.observations.get())
    rule(statement=statement, by=cast.tutor, reply="Look once more.", **more)
    paper.refresh_from_db()
    release(paper=paper, by=cast.tutor)
    return Check.objects.get(current=True)


@pytest.mark.parametrize("flag", [None, "agrees"], ids=["accepted", "set"])
def test_flagged_for_the_tutor_alone(cast: Cast, flag: str | None) -> None:
    stage, paper = staged(cast, Prompt.Checked.FLAG_ONLY, UNISON)
    check = Check.objects.get()
    sentence = check.answer["sentence"]
    assert check.flag in {"partly", "conflicts"}
    assert sentence in page(cast.tutor, "review", stage.assignment)
    check = ruled(cast, paper, flag=flag)
    for _look in range(2):  # looking once must not open the rest
        shown = page(cast.student, "paper", stage.assignment)
        assert f"flag-{flag or check.flag}" in shown
        assert "Look once more." in shown
        assert sentence not in shown
        assert "data-show-evidence" not in shown
        assert not may_see(cast.student, Check.objects.get(), timezone.now())
    assert may_see(cast.tutor, check, timezone.now())


def test_what_was_compared_shows_its_sentence(cast: Cast) -> None:
    stage, paper = staged(cast, Prompt.Checked.FACTS, UNISON)
    check = ruled(cast, paper)
    assert check.answer["sentence"] in page(cast.student, "paper", stage.assignment)
    assert may_see(cast.student, Check.objects.get(), timezone.now())


def test_what_is_not_looked_at_is_the_tutor_s_ear(cast: Cast, monkeypatch: Any) -> None:
    def asked(*_args: Any) -> None:
        raise AssertionError("the engine was asked")

    monkeypatch.setattr(checking, "answer_for", asked)
    stage, paper = staged(cast, Prompt.Checked.LEFT_ALONE, UNISON)
    check = Check.objects.get()
    assert (check.flag, check.run, check.answer["evidence"]) == ("ear", None, [])
    assert NOT_COMPARED in page(cast.tutor, "review", stage.assignment)
    board = page(cast.tutor, "board", stage.assignment)
    assert "not compared, by your wish" in board
    assert "flag-ear" in board
    assert "by your tutor\u2019s wish" in page(cast.student, "paper", stage.assignment)
    ruled(cast, paper, flag="partly")
    assert NOT_COMPARED in page(cast.student, "paper", stage.assignment)


@pytest.mark.parametrize("wish", ["flag-only", "left-alone"])
def test_a_new_wish_hides_what_was_not_shown_yet(
    cast: Cast, stage: Stage, drain_jobs: Any, wish: str
) -> None:
    paper = handed_in(stage, cast.student, UNISON)
    sentence = Check.objects.get().answer["sentence"]
    rule(statement=latest(paper.observations.get()), by=cast.tutor)
    made = stage.assignment
    made.draft["prompts"][0]["checked"] = wish
    made.save()
    assignments.publish(assignment=made, by=cast.tutor)
    drain_jobs()
    now = Check.objects.get(current=True)
    assert now.kept_back is (wish == "flag-only")
    assert (now.cause == "left-alone") is (wish == "left-alone")
    paper.refresh_from_db()
    release(paper=paper, by=cast.tutor)
    for _look in range(2):
        shown = page(cast.student, "paper", made)
        assert "answer-" in shown
        assert sentence not in shown
