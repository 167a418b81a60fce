"""Checks: one current, no twins, made again when the reading or the tutor's word changes."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from analysis.jobs import worker
from analysis.jobs.claiming import claim
from analysis.jobs.models import Effect, Job
from analysis.models import Overrule
from analysis.services import overrules
from courses.models import Course
from courses.services import assignments
from courses.services.parts import confirm_parts, part_key
from submissions.feedback import feedback_of
from submissions.models import Check, ObservationVersion, Paper
from submissions.services.papers import release
from submissions.services.rulings import rule
from tests.cast import FREE, OCTAVE, UNISON, Cast, Stage, handed_in, latest, make_stage

pytestmark = pytest.mark.django_db


def statement_of(paper: Paper) -> ObservationVersion:
    return latest(paper.observations.order_by("pk")[0])


def current(paper: Paper) -> Check:
    return statement_of(paper).checks.get(current=True)


def overrule(cast: Cast, stage: Stage, **more: Any) -> Overrule:
    """The tutor says: the flute does not go with the violins in bars 1-4."""
    finding = next(f for f in _doublings(stage) if {p for p in f["parts"]} >= {"P1", "P3"})
    values = {
        "version": stage.version, "by": cast.tutor, "kind": "doubling", "movement": 0,
        "first_bar": finding["first"], "last_bar": finding["last"],
        "parts": [{"part": p, "player": None} for p in finding["parts"]],
        "says": "absent", "overruled": finding["value"], "reason": "It is an echo.", **more,
    }  # fmt: skip
    return overrules.overrule(**values)


def _doublings(stage: Stage) -> list[dict[str, Any]]:
    from analysis import storage

    table = storage.table_of(stage.run)
    ids = {line.index: table.first_readings[line.part].id for line in table.lines}
    return [
        {"first": f.first, "last": f.last, "parts": sorted({ids[n] for n in f.lines}),
         "value": dict(f.value)}
        for f in storage.computed_findings(stage.run) if f.kind == "doubling"
    ]  # fmt: skip


def test_what_is_right_agrees_and_what_is_nearly_right_does_not(cast: Cast, stage: Stage) -> None:
    paper = handed_in(stage, cast.student, OCTAVE, UNISON, FREE)
    flags = [o.versions.get().checks.get().flag for o in paper.observations.order_by("pk")]
    assert flags[0] == "agrees"
    assert flags[1] in {"partly", "conflicts"}
    assert flags[2] == "ear"


@pytest.mark.parametrize("typed", [OCTAVE, FREE], ids=["doubling", "free"])
def test_a_check_delivered_three_times_has_no_twin(
    cast: Cast, stage: Stage, typed: dict[str, Any]
) -> None:
    paper = handed_in(stage, cast.student, typed, check=False)
    job = Job.objects.get(kind="check")
    for _n in range(3):
        Job.objects.filter(pk=job.pk).update(state="queued", attempts=0, lease_until=None)
        with claim() as mine:
            assert mine is not None
            worker.perform(mine)
    assert statement_of(paper).checks.count() == 1
    assert current(paper).current
    # Even with the record of effects lost, the same answer is the same row.
    Effect.objects.all().delete()
    Job.objects.filter(pk=job.pk).update(state="queued", attempts=0)
    worker.drain()
    assert statement_of(paper).checks.count() == 1


def test_the_tutor_s_word_is_heard_and_taken_back_and_said_again(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    paper = handed_in(stage, cast.student)
    assert current(paper).flag == "agrees"
    row = overrule(cast, stage)
    drain_jobs()
    assert current(paper).flag != "agrees"
    overrules.withdraw(row=row, by=cast.tutor)
    drain_jobs()
    assert current(paper).flag == "agrees", "back to what was computed"
    overrule(cast, stage)
    drain_jobs()
    assert current(paper).flag != "agrees"
    assert statement_of(paper).checks.filter(current=True).count() == 1
    assert statement_of(paper).checks.filter(proposal=True).count() == 0


def test_a_proposed_word_of_an_assistant_changes_nothing(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    paper = handed_in(stage, cast.student)
    row = overrule(cast, stage, by=cast.assistant)
    assert row.state == Overrule.State.PROPOSED
    drain_jobs()
    assert statement_of(paper).checks.count() == 1


def test_a_new_reading_checks_again(cast: Cast, stage: Stage, drain_jobs: Any) -> None:
    paper = handed_in(stage, cast.student)
    before = current(paper)
    parts = stage.run.parts_revision.parts
    key = next(part_key(row) for row in parts if row["id"] == "P1")
    confirm_parts(
        version=stage.version, by=cast.tutor, keys=[key], changes={key: {"transposition": 12}}
    )
    drain_jobs()
    after = current(paper)
    assert after.run_id != before.run_id
    assert (before.flag, after.flag != "agrees") == ("agrees", True)
    before.refresh_from_db()
    assert not before.current


def test_only_the_latest_version_is_checked_again(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    from tests.cast import state

    paper = handed_in(stage, cast.student)
    old = statement_of(paper)
    state(paper, stage.run, UNISON, key="k1", if_match=1)
    drain_jobs()
    overrule(cast, stage)
    drain_jobs()
    assert old.checks.count() == 1
    assert statement_of(paper).checks.count() == 2


def test_other_tolerances_check_again(cast: Cast, stage: Stage, drain_jobs: Any) -> None:
    paper = handed_in(stage, cast.student)
    before = current(paper)
    made = stage.assignment
    draft = {**made.draft, "settings": {"doubling_full": 0.8}}
    assignments.save_draft(
        assignment=made, by=cast.tutor, title="First", draft=draft, if_match=made.revision
    )
    assignments.publish(assignment=made, by=cast.tutor)
    drain_jobs()
    assert current(paper).settings_hash != before.settings_hash


# --- what was shown stays -----------------------------------------------------------


def given_back(cast: Cast, stage: Stage) -> Paper:
    paper = handed_in(stage, cast.student)
    rule(statement=statement_of(paper), by=cast.tutor, reply="Yes.")
    release(paper=paper, by=cast.tutor)
    paper.refresh_from_db()
    return paper


@pytest.mark.parametrize("looked", [True, False], ids=["looked at", "not looked at yet"])
def test_after_release_a_differing_check_is_a_proposal(
    cast: Cast, stage: Stage, drain_jobs: Any, looked: bool
) -> None:
    paper = given_back(cast, stage)
    if looked:
        feedback_of(paper, cast.student, timezone.now())
        assert current(paper).shown_at
    settled = current(paper)
    row = overrule(cast, stage)
    drain_jobs()
    assert current(paper) == settled
    proposal = statement_of(paper).checks.get(proposal=True)
    assert proposal.flag != settled.flag
    assert feedback_of(paper, cast.student, timezone.now())[0]["flag"] == "agrees"
    overrules.withdraw(row=row, by=cast.tutor)
    drain_jobs()
    assert current(paper) == settled


def test_release_keeps_the_check_that_was_ruled_on(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    """Ruled, then the reading changed, then given back: the student gets what the tutor saw."""
    paper = handed_in(stage, cast.student)
    ruling = rule(statement=statement_of(paper), by=cast.tutor)
    overrule(cast, stage)
    drain_jobs()
    assert current(paper) != ruling.check_shown
    release(paper=paper, by=cast.tutor)
    assert current(paper) == ruling.check_shown
    assert statement_of(paper).checks.get(proposal=True).flag != "agrees"


def test_after_the_end_of_the_course_nothing_moves(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    paper = handed_in(stage, cast.student)
    Course.objects.update(ends_on=timezone.localdate() - timedelta(days=1))
    settled = current(paper)
    overrule(cast, stage)
    drain_jobs()
    assert current(paper) == settled
    assert statement_of(paper).checks.filter(proposal=True).count() == 1


def test_only_the_student_s_own_look_counts_as_shown(cast: Cast, stage: Stage) -> None:
    paper = given_back(cast, stage)
    feedback_of(paper, cast.tutor, timezone.now())
    assert current(paper).shown_at is None


# --- rulings ------------------------------------------------------------------------


def test_a_change_of_mind_is_a_new_row(cast: Cast, stage: Stage) -> None:
    paper = handed_in(stage, cast.student)
    statement = statement_of(paper)
    first = rule(statement=statement, by=cast.tutor, reply="Yes.")
    second = rule(statement=statement, by=cast.tutor, flag="partly", reply="Nearly.")
    first.refresh_from_db()
    assert (first.current, first.flag, first.reply) == (False, "agrees", "Yes.")
    assert (second.current, second.overrules) == (True, True)
    assert statement.rulings.count() == 2


def test_accepting_needs_a_flag_and_ruling_without_one_does_not(cast: Cast, stage: Stage) -> None:
    paper = handed_in(stage, cast.student, check=False)
    with pytest.raises(ValidationError) as refused:
        rule(statement=statement_of(paper), by=cast.tutor)
    assert refused.value.code == "no-check"
    ruling = rule(statement=statement_of(paper), by=cast.tutor, flag="partly")
    assert (ruling.overrules, ruling.check_shown) == (False, None)


def test_a_flag_or_level_there_is_not_is_refused(cast: Cast, stage: Stage) -> None:
    paper = handed_in(stage, cast.student)
    for wrong in ({"flag": "wonderful"}, {"level": "10 points"}):
        with pytest.raises(ValidationError):
            rule(statement=statement_of(paper), by=cast.tutor, **wrong)
    assert not statement_of(paper).rulings.exists()


def test_a_paper_is_ruled_when_its_last_statement_is(cast: Cast, stage: Stage) -> None:
    paper = handed_in(stage, cast.student, OCTAVE, FREE)
    for observation, state in zip(
        paper.observations.order_by("pk"), ["handed-in", "ruled"], strict=True
    ):
        rule(statement=latest(observation), by=cast.tutor, reply="I hear it.")
        paper.refresh_from_db()
        assert paper.state == state


def test_an_open_course_gives_back_with_the_last_ruling(cast: Cast) -> None:
    stage = make_stage(cast, Course.Form.OPEN)
    paper = handed_in(stage, cast.student, OCTAVE, FREE)
    for observation in paper.observations.order_by("pk"):
        rule(statement=latest(observation), by=cast.tutor, reply="Good.")
    paper.refresh_from_db()
    assert paper.state == Paper.State.RELEASED
    assert len(feedback_of(paper, cast.student, timezone.now())) == 2
