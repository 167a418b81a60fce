"""Contract 5.6, sentence by sentence: stale, made again, frozen, proposed, never touched, told."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from analysis import storage
from analysis.effective import as_overruling, computed_for
from analysis.engine import claims
from analysis.engine.settings import Settings
from analysis.engine.tolerances import BY_NAME
from analysis.jobs.models import Job
from analysis.models import Overrule
from analysis.services import overrules
from courses.models import Assignment
from courses.services import assignments
from courses.services.parts import confirm_parts, part_key
from submissions import changes
from submissions.checking import claim_of
from submissions.feedback import feedback_of
from submissions.models import Check, ObservationVersion, Paper, Ruling
from submissions.reasons import Basis, Reasons
from submissions.services.checks import renew
from submissions.services.editions import declare, enrolment_of
from submissions.services.papers import release
from submissions.services.rulings import leave_as_shown, rule
from submissions.standing import standing_of
from tests.cast import OCTAVE, Cast, Stage, enrol, handed_in, latest, make_stage, person, publish
from tests.rewrite import rewrite

pytestmark = pytest.mark.django_db
LATE = {**OCTAVE, "bars": "3-6"}  # two of its four bars are true: nearly


def statement_of(paper: Paper) -> ObservationVersion:
    return latest(paper.observations.order_by("pk")[0])


def current(paper: Paper) -> Check:
    return statement_of(paper).checks.get(current=True)


def an_echo(cast: Cast, stage: Stage, reason: str = "It is an echo.") -> Overrule:
    """The tutor: the flute does not double the violins in bars 1-4."""
    value = {"kind": "doubling", "parts": ["P1"], "with": ["P3"], "octaves": 1}
    return overrules.overrule(
        version=stage.version, by=cast.tutor, kind="doubling", movement=0, first_bar=0,
        last_bar=3, parts=[{"part": p, "player": None} for p in ("P1", "P3")], says="absent",
        overruled=value, reason=reason,
    )  # fmt: skip


def other_parts(cast: Cast, stage: Stage) -> None:
    """The flute is taken to sound an octave higher."""
    parts = stage.run.parts_revision.parts
    key = next(part_key(row) for row in parts if row["id"] == "P1")
    confirm_parts(
        version=stage.version, by=cast.tutor, keys=[key], changes={key: {"transposition": 12}}
    )


def published(cast: Cast, made: Assignment, **draft: Any) -> None:
    made.refresh_from_db()
    assignments.save_draft(
        assignment=made, by=cast.tutor, title=made.title, draft={**made.draft, **draft},
        if_match=made.revision,
    )  # fmt: skip
    made.refresh_from_db()
    assignments.publish(assignment=made, by=cast.tutor)


def given_back(cast: Cast, stage: Stage) -> Paper:
    paper = handed_in(stage, cast.student)
    rule(statement=statement_of(paper), by=cast.tutor, reply="Yes.")
    release(paper=paper, by=cast.tutor)
    paper.refresh_from_db()
    return paper


def page(user: Any, name: str, thing: Any) -> str:
    client = Client()
    client.force_login(user)
    return client.get(reverse(name, args=[thing.public_id])).content.decode()


# --- a check = (version, run, checker, settings, overrules), and can be made again from them -----


def made_again(check: Check) -> claims.Answer:
    """From the row alone: the statement, its run, the settings and the words it names."""
    run = check.run
    assert run is not None
    table = storage.table_of(run)
    asked = dict(check.settings)
    offset = asked.pop("edition", 0)
    asked.pop("wish", None)
    words = [Overrule.objects.get(public_id=mark.split("@")[0]) for mark in check.overrules]
    return claims.answer(
        claim_of(check.observation_version, run), table, computed_for(run),
        Settings.from_dict({**run.settings, **asked}),
        overrules=tuple(as_overruling(word, table) for word in words),
        edition=claims.Edition(offset) if offset else None,
    )  # fmt: skip


def test_every_check_can_be_made_again_from_what_it_names(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    paper = handed_in(stage, cast.student, LATE)
    published(cast, stage.assignment, settings={"near_share": 0.9, "bar_offset": 0})
    drain_jobs()
    word = an_echo(cast, stage)
    drain_jobs()
    overrules.withdraw(row=word, by=cast.tutor)
    drain_jobs()
    other_parts(cast, stage)
    drain_jobs()
    enrolment = enrolment_of(cast.student, stage.course)
    assert enrolment is not None
    declare(enrolment=enrolment, offset="2")
    drain_jobs()
    checks = list(statement_of(paper).checks.all())
    assert len(checks) == 5
    assert [c.settings for c in checks if c.current] == [
        {"near_share": 0.9, "bar_offset": 0, "edition": 2}
    ]
    for check in checks:
        assert made_again(check).as_dict() == check.answer


# --- stale ----------------------------------------------------------------------------------


@pytest.mark.parametrize("cause", ["word", "parts", "tolerances", "edition"])
def test_until_it_is_made_again_a_flag_is_said_to_be_from_before(
    cast: Cast, stage: Stage, drain_jobs: Any, cause: str
) -> None:
    paper = handed_in(stage, cast.student)
    stage.assignment.refresh_from_db()
    assert changes.stale_of(stage.assignment) == changes.Stale(0, [])
    said = {
        "word": lambda: an_echo(cast, stage),
        "parts": lambda: other_parts(cast, stage),
        "tolerances": lambda: published(cast, stage.assignment, settings={"bar_offset": 2}),
        "edition": lambda: declare(enrolment=enrolment_of(cast.student, stage.course), offset="1"),
    }  # type: ignore[arg-type]
    said[cause]()
    expected = {
        "word": "Your word on the reading: “It is an echo.”",
        "parts": "The score is being read again, with its parts as they are now.",
        "tolerances": "Tolerance “Bars off that are still nearly right”: 2 bars instead of 1 bar.",
        "edition": "The student’s own copy counts its bars otherwise: bar 10 here is 11 there.",
    }[cause]
    stage.assignment.refresh_from_db()
    stale = changes.stale_of(stage.assignment)
    assert (stale.count, stale.why) == (1, [expected])
    for name in ("board", "review"):
        assert "from before" in page(cast.tutor, name, stage.assignment)
    drain_jobs()
    stage.assignment.refresh_from_db()
    assert changes.stale_of(stage.assignment).count == 0
    assert "from before and" not in page(cast.tutor, "review", stage.assignment)
    assert standing_of(statement_of(paper)).made(current(paper))


def test_a_comparison_that_stopped_can_be_tried_again_from_the_board(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    paper = handed_in(stage, cast.student)
    an_echo(cast, stage)
    drain_jobs()
    assert "Try again" not in page(cast.tutor, "board", stage.assignment)
    job = Job.objects.filter(kind="check", payload__statement=statement_of(paper).pk).last()
    assert job is not None
    Job.objects.filter(pk=job.pk).update(state=Job.State.FAILED, problem="It took too long.")
    shown = page(cast.tutor, "board", stage.assignment)
    assert "It took too long." not in shown, "what is fresh wants no other comparison"
    rewrite(Check.objects.all(), checker_version="0.9")
    shown = page(cast.tutor, "board", stage.assignment)
    assert "It took too long." in shown
    assert reverse("jobs:retry", args=[job.public_id]) in shown
    elsewhere = publish(stage.course, stage.version, "Another one")
    assert "It took too long." not in page(cast.tutor, "board", elsewhere)


def test_a_check_of_what_has_changed_meanwhile_is_not_kept(
    cast: Cast, stage: Stage, monkeypatch: Any, drain_jobs: Any
) -> None:
    """Other tolerances are published while the worker compares: only the later answer stays."""
    from submissions import checking

    real = checking.answer_for

    def slow(*args: Any) -> claims.Answer:
        answer = real(*args)
        if not stage.more:
            stage.more["once"] = True
            published(cast, stage.assignment, settings={"near_share": 0.9})
        return answer

    monkeypatch.setattr(checking, "answer_for", slow)
    paper = handed_in(stage, cast.student, LATE)
    drain_jobs()
    assert [c.settings for c in statement_of(paper).checks.all()] == [{"near_share": 0.9}]


# --- re-run, and the tutor sees what changed and why ---------------------------------------------


def test_the_tutor_s_word_turns_a_flag_and_is_named(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    paper = handed_in(stage, cast.student)
    assert changes.changes_of(stage.assignment) == []
    word = an_echo(cast, stage)
    drain_jobs()
    (change,) = changes.changes_of(stage.assignment)
    assert (change.old.flag, change.new) == ("agrees", current(paper))
    assert change.new.flag != "agrees"
    assert change.why == ["Your word on the reading: “It is an echo.”"]
    assert not change.asks
    for name in ("board", "review"):
        shown = page(cast.tutor, name, stage.assignment)
        assert "It is an echo." in shown
        assert f"flag-{change.new.flag}" in shown
    overrules.withdraw(row=word, by=cast.tutor)
    drain_jobs()
    (change,) = changes.changes_of(stage.assignment)
    assert (change.new.flag, change.old.flag != "agrees") == ("agrees", True)
    assert change.why == ["You took back your word on the reading: “It is an echo.”"]


def test_only_the_word_that_touches_the_bars_is_named(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    handed_in(stage, cast.student)
    overrules.overrule(
        version=stage.version, by=cast.tutor, kind="doubling", movement=0, first_bar=6, last_bar=7,
        parts=[{"part": "P4", "player": None}], says="absent", reason="Far away.",
        overruled={"kind": "doubling"},
    )  # fmt: skip
    an_echo(cast, stage)
    drain_jobs()
    (change,) = changes.changes_of(stage.assignment)
    assert change.why == ["Your word on the reading: “It is an echo.”"]


def test_changed_parts_are_named_with_what_was_changed(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    handed_in(stage, cast.student)
    other_parts(cast, stage)
    drain_jobs()
    (change,) = changes.changes_of(stage.assignment)
    assert change.why == ["The parts were changed: Flauto (transposition)."]


def test_a_changed_tolerance_is_named_with_both_values(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    paper = handed_in(stage, cast.student, LATE)
    before = current(paper)
    published(cast, stage.assignment, settings={"near_share": 0.9, "bar_offset": 0})
    drain_jobs()
    (change,) = changes.changes_of(stage.assignment)
    assert (change.old, change.old.flag) == (before, "partly")
    assert change.new.flag == "conflicts"
    assert change.why == [
        f"Tolerance “{BY_NAME['bar_offset'].title}”: 0 bars instead of 1 bar.",
        f"Tolerance “{BY_NAME['near_share'].title}”: 90 % instead of 50 %.",
    ]


def test_a_newer_checker_makes_what_an_older_one_flagged_again(
    cast: Cast, stage: Stage, drain_jobs: Any, monkeypatch: Any
) -> None:
    paper = handed_in(stage, cast.student)
    old = current(paper)
    rewrite(Check.objects.all(), flag="partly")  # as an older one might have said
    assert renew() == 0
    monkeypatch.setattr("analysis.engine.claims.CHECKER_VERSION", "9.9")
    monkeypatch.setattr("submissions.services.checks.CHECKER_VERSION", "9.9")
    stage.assignment.refresh_from_db()
    told = f"The checker was renewed: version 9.9 instead of {old.checker_version}."
    assert changes.stale_of(stage.assignment) == changes.Stale(1, [told])
    call_command("renew_checks")
    assert drain_jobs() == 2
    assert renew() == 0
    assert (current(paper).checker_version, current(paper).flag) == ("9.9", "agrees")
    (change,) = changes.changes_of(stage.assignment)
    assert (change.old, change.why) == (old, [told])


def test_reasons_for_checks_that_do_not_name_what_they_were_made_of() -> None:
    """Rows from before checks kept settings and words."""
    old = Basis(1, "1", {}, "a", (), "a")
    new = Basis(1, "1", {}, "b", (), "b")
    assert Reasons([(old, new)]).why(old, new) == [
        "Your word on the reading was changed.", "The tolerances were changed.",
    ]  # fmt: skip


# --- rulings are never touched -----------------------------------------------------------------


def test_a_ruling_stands_whatever_is_compared_again(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    paper = handed_in(stage, cast.student)
    rule(statement=statement_of(paper), by=cast.tutor, reply="Yes.")
    before = Ruling.objects.values().get()
    an_echo(cast, stage)
    other_parts(cast, stage)
    drain_jobs()
    published(cast, stage.assignment, settings={"near_share": 0.9})
    drain_jobs()
    assert Ruling.objects.values().get() == before
    (change,) = changes.changes_of(stage.assignment)
    assert change.asks
    assert change.old.pk == before["check_shown_id"]
    assert changes.waiting(cast.tutor) == {stage.assignment.pk: 1}
    assert changes.waiting(cast.other_tutor) == {}
    assert "look again before you give back" in page(cast.tutor, "board", stage.assignment)
    assert "Your ruling stands" in _review(cast, stage, paper)
    rule(statement=statement_of(paper), by=cast.tutor, flag="agrees", reply="Still.")
    assert changes.waiting(cast.tutor) == {}
    assert changes.changes_of(stage.assignment) == []


def _review(cast: Cast, stage: Stage, paper: Paper, **post: str) -> str:
    client = Client()
    client.force_login(cast.tutor)
    observation = paper.observations.get()
    if post:
        answer = client.post(reverse("rule", args=[observation.public_id]), post, follow=True)
    else:
        where = reverse("review", args=[stage.assignment.public_id])
        answer = client.get(f"{where}?statement={observation.public_id}")
    return str(answer.content.decode())


# --- frozen after release; what differs is proposed ----------------------------------------------


def test_the_tutor_takes_what_is_proposed(cast: Cast, stage: Stage, drain_jobs: Any) -> None:
    paper = given_back(cast, stage)
    feedback_of(paper, cast.student, timezone.now())
    settled = current(paper)
    other_parts(cast, stage)
    drain_jobs()
    proposal = statement_of(paper).checks.get(proposal=True)
    assert changes.waiting(cast.tutor) == {stage.assignment.pk: 1}
    shown = _review(cast, stage, paper)
    assert "The parts were changed: Flauto (transposition)." in shown
    assert proposal.answer["sentence"].removeprefix("Nearly: ") in shown
    assert "Leave it as shown" in shown
    assert feedback_of(paper, cast.student, timezone.now())[0]["flag"] == settled.flag
    _review(cast, stage, paper, take=str(proposal.public_id), reply="The flute is a piccolo.")
    ruling = statement_of(paper).rulings.get(current=True)
    assert (ruling.flag, ruling.check_shown, ruling.overrules) == (proposal.flag, proposal, False)
    assert statement_of(paper).rulings.filter(current=False).get().check_shown == settled
    row = feedback_of(paper, cast.student, timezone.now())[0]
    assert (row["flag"], row["reply"]) == (proposal.flag, "The flute is a piccolo.")
    assert current(paper) == proposal
    assert not statement_of(paper).checks.filter(proposal=True).exists()
    assert changes.waiting(cast.tutor) == {}


def test_what_the_tutor_leaves_is_not_proposed_again(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    paper = given_back(cast, stage)
    settled = current(paper)
    an_echo(cast, stage)
    drain_jobs()
    proposal = statement_of(paper).checks.get(proposal=True)
    _review(cast, stage, paper, leave=str(proposal.public_id))
    assert changes.waiting(cast.tutor) == {}
    assert current(paper) == settled
    assert statement_of(paper).rulings.count() == 1
    an_echo(cast, stage, "Once more.")  # another word, the same outcome
    drain_jobs()
    assert statement_of(paper).checks.count() == 3
    assert not statement_of(paper).checks.filter(proposal=True).exists()
    with pytest.raises(ValidationError, match="checked again"):
        leave_as_shown(statement=statement_of(paper), by=cast.tutor, left=str(proposal.public_id))


def test_what_is_gone_cannot_be_taken(cast: Cast, stage: Stage, drain_jobs: Any) -> None:
    paper = given_back(cast, stage)
    word = an_echo(cast, stage)
    drain_jobs()
    proposal = statement_of(paper).checks.get(proposal=True)
    overrules.withdraw(row=word, by=cast.tutor)
    drain_jobs()
    assert not statement_of(paper).checks.filter(proposal=True).exists(), "nothing to decide"
    with pytest.raises(ValidationError, match="checked again"):
        rule(statement=statement_of(paper), by=cast.tutor, take=str(proposal.public_id))
    assert statement_of(paper).rulings.count() == 1


def test_another_ruling_answers_what_was_proposed(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    paper = given_back(cast, stage)
    an_echo(cast, stage)
    drain_jobs()
    rule(statement=statement_of(paper), by=cast.tutor, flag="partly", reply="By half.")
    assert changes.waiting(cast.tutor) == {}
    assert changes.changes_of(stage.assignment) == []


def test_nothing_compared_any_more_is_nothing_to_propose(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    paper = given_back(cast, stage)
    published(cast, stage.assignment, kinds={"doubling": "left-alone"})
    drain_jobs()
    assert statement_of(paper).checks.filter(cause="left-alone").exists()
    assert not statement_of(paper).checks.filter(proposal=True).exists()
    assert changes.changes_of(stage.assignment) == []


def test_after_the_end_of_the_course_a_change_is_proposed(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    paper = handed_in(stage, cast.student)
    stage.course.ends_on = timezone.localdate() - timedelta(days=1)
    stage.course.save()
    an_echo(cast, stage)
    drain_jobs()
    assert current(paper).flag == "agrees"
    (change,) = changes.changes_of(stage.assignment)
    assert change.settled


# --- however many -----------------------------------------------------------------------------


def test_changes_and_stale_ones_cost_the_same_with_1_and_12_students(
    cast: Cast, drain_jobs: Any
) -> None:
    stage = make_stage(cast)

    def more(n: int) -> None:
        for k in range(n):
            user = person(f"Pupil {k}")
            enrol(stage.course, user)
            handed_in(stage, user)

    def cost() -> tuple[int, int]:
        stage.assignment.refresh_from_db()
        assignment = Assignment.objects.select_related("current").get(pk=stage.assignment.pk)
        with CaptureQueriesContext(connection) as seen:
            found = changes.changes_of(assignment)
            stale = changes.stale_of(assignment)
            changes.waiting(cast.tutor)
        return len(seen), len(found) + stale.count

    more(1)
    an_echo(cast, stage)
    drain_jobs()
    few, one = cost()
    more(11)
    rewrite(Check.objects.all(), checker_version="0.9")
    an_echo(cast, stage, "Again.")
    many, all_of_them = cost()
    assert (one, all_of_them > 10) == (1, True)
    assert many <= few + 1  # the reasons of the stale ones ask for words once more
