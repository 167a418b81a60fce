"""Whose turn it is."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.utils import timezone

from analysis.jobs.claiming import PATIENCE, claim
from analysis.jobs.models import Job
from analysis.jobs.queue import enqueue
from analysis.jobs.slots import heavy_slot

pytestmark = pytest.mark.django_db

INTERACTIVE, SCORE, BULK = Job.Klass.INTERACTIVE, Job.Klass.SCORE, Job.Klass.BULK


@pytest.fixture
def tutors() -> list[Any]:
    make = get_user_model().objects.create_user
    return [make(username=name) for name in ("ada", "ben", "cleo")]


def put(key: str, tutor: Any = None, klass: str = INTERACTIVE) -> Job:
    return enqueue("test", key=key, payload={}, klass=klass, tutor=tutor)


def turns(most: int = 100) -> list[str]:
    """The keys in the order in which one worker takes them."""
    taken: list[str] = []
    while len(taken) < most:
        with claim() as job:
            if job is None:
                break
            taken.append(job.key)
            Job.objects.filter(pk=job.pk).update(state=Job.State.DONE)
    return taken


def test_first_come_first_served_for_one_tutor(tutors: list[Any]) -> None:
    for n in range(3):
        put(f"a{n}", tutors[0])
    assert turns() == ["a0", "a1", "a2"]


def test_a_tutor_with_many_jobs_does_not_hold_up_the_others(tutors: list[Any]) -> None:
    for n in range(50):
        put(f"a{n}", tutors[0])
    put("b0", tutors[1])
    put("c0", tutors[2])
    put("c1", tutors[2])
    assert turns(6) == ["a0", "b0", "c0", "a1", "c1", "a2"]


def test_whoever_waits_at_the_page_comes_first(tutors: list[Any]) -> None:
    put("bulk", tutors[0], BULK)
    put("score", tutors[0], SCORE)
    put("check", tutors[0], INTERACTIVE)
    assert turns() == ["check", "score", "bulk"]


@pytest.mark.parametrize("klass", [SCORE, BULK])
def test_nobody_waits_for_ever(tutors: list[Any], klass: str) -> None:
    late = put("late", tutors[0], klass)
    put("check", tutors[1])
    long_ago = timezone.now() - PATIENCE[klass] - timedelta(seconds=1)
    Job.objects.filter(pk=late.pk).update(created_at=long_ago)
    assert turns() == ["late", "check"]


def test_one_heavy_job_at_a_time_and_checks_go_on_beside_it(tutors: list[Any]) -> None:
    put("s1", tutors[0], SCORE)
    put("s2", tutors[1], SCORE)
    with claim() as heavy:
        assert heavy is not None
        assert heavy.key == "s1"
        put("check", tutors[2])
        with claim() as other:
            assert other is not None
            assert other.key == "check"
            with claim() as third:
                assert third is None  # s2 waits for s1
    assert turns() == ["s2"]


def test_a_check_gives_the_heavy_slot_back_at_once(tutors: list[Any]) -> None:
    put("check", tutors[0])
    put("score", tutors[0], SCORE)
    with claim() as check, claim() as score:
        assert check is not None
        assert score is not None
        assert (check.key, score.key) == ("check", "score")
    with heavy_slot() as slot:
        assert slot


def test_a_job_that_is_not_due_waits(tutors: list[Any]) -> None:
    job = put("later", tutors[0])
    Job.objects.filter(pk=job.pk).update(not_before=timezone.now() + timedelta(minutes=1))
    assert turns() == []


def test_a_job_is_taken_by_one_only(tutors: list[Any]) -> None:
    put("a", tutors[0])
    with claim() as first, claim() as second:
        assert first is not None
        assert second is None
