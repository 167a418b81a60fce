"""Every rule of `may_see` (the project's contract 5.5)."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.contrib.auth.models import AnonymousUser
from django.utils import timezone

from courses.models import AssignmentVersion, Course, Enrolment, Note, ScoreVersion, User
from courses.services import assignments
from submissions.models import Find, Message, Observation, Paper, Ruling
from submissions.services import finds
from submissions.services.papers import mark_shown, release
from submissions.services.rulings import rule
from submissions.sight import Answers, ModelAnswer, may_see, role_in, seen_of
from tests.cast import (
    FREE,
    OCTAVE,
    Cast,
    Stage,
    handed_in,
    latest,
    make_stage,
    note,
    paper_of,
    publish,
    state,
)
from tests.rewrite import rewrite

pytestmark = pytest.mark.django_db
OUTSIDERS = ("stranger", "guardian", "nobody", "other_tutor", "admin")


def now() -> datetime:
    return timezone.now()


def sees(user: User, thing: object, days: float = 0) -> bool:
    return may_see(user, thing, now() + timedelta(days=days))


def who_sees(cast: Cast, thing: object, days: float = 0) -> set[str]:
    return {name for name, user in cast.everybody().items() if sees(user, thing, days)}


def ruled(cast: Cast, stage: Stage, *typed: dict[str, Any]) -> tuple[Paper, Ruling]:
    paper = handed_in(stage, cast.student, *typed)
    statement = latest(paper.observations.order_by("pk")[0])
    ruling = rule(statement=statement, by=cast.tutor, flag="agrees", reply="Yes.")
    paper.refresh_from_db()
    return paper, ruling


def fresh(thing: Any) -> Any:
    return type(thing).objects.get(pk=thing.pk)


def close(stage: Stage, days: float = -1) -> None:
    rewrite(
        AssignmentVersion.objects.filter(pk=stage.assignment.current_id),
        closes_at=now() + timedelta(days=days),
    )


def test_an_unknown_thing_is_a_type_error(cast: Cast) -> None:
    with pytest.raises(TypeError, match="no rule for str"):
        may_see(cast.tutor, "a string", now())
    with pytest.raises(TypeError):
        may_see(cast.tutor, cast.student, now())


def test_nobody_signed_in_sees_nothing(cast: Cast, stage: Stage) -> None:
    assert not may_see(AnonymousUser(), note(stage), now())  # type: ignore[arg-type]


def test_roles(cast: Cast, stage: Stage) -> None:
    roles = {name: role_in(user, stage.course) for name, user in cast.everybody().items()}
    assert roles == {
        "tutor": "tutor", "assistant": "assistant", "student": "student", "fellow": "student",
        **dict.fromkeys(OUTSIDERS, ""),
    }  # fmt: skip


def test_a_paper_is_its_student_s_and_the_teaching_side_s(cast: Cast, stage: Stage) -> None:
    paper = paper_of(cast.student, stage.assignment)
    assert who_sees(cast, paper) == {"student", "tutor", "assistant"}
    Enrolment.objects.filter(user=cast.student).update(state="left")
    assert who_sees(cast, paper) == {"tutor", "assistant"}


def test_a_draft_is_its_student_s_alone(cast: Cast, stage: Stage) -> None:
    draft = state(paper_of(cast.student, stage.assignment), stage.run)
    assert who_sees(cast, draft) == {"student"}
    draft.state = Observation.State.HANDED_IN
    assert who_sees(cast, draft) == {"student", "tutor", "assistant"}


def test_a_score_is_its_tutor_s_and_its_courses(cast: Cast, stage: Stage) -> None:
    assert who_sees(cast, stage.score) == {"tutor", "assistant", "student", "fellow"}
    stage.course.scores.remove(stage.score)
    assert who_sees(cast, stage.score) == {"tutor"}


def test_computed_answers_are_the_teaching_side_s(cast: Cast, stage: Stage) -> None:
    assert who_sees(cast, Answers(stage.run, 0, 3)) == {"tutor", "assistant"}


# --- release ---------------------------------------------------------------------


def test_before_release_flags_are_the_teaching_side_s(cast: Cast, stage: Stage) -> None:
    paper, ruling = ruled(cast, stage)
    close(stage)
    assert paper.state == Paper.State.RULED
    for thing in (ruling, ruling.check_shown):
        assert who_sees(cast, fresh(thing)) == {"tutor", "assistant"}


def test_after_release_they_are_the_student_s_too_and_nobody_else_s(
    cast: Cast, stage: Stage
) -> None:
    paper, ruling = ruled(cast, stage)
    release(paper=paper, by=cast.tutor)
    for thing in (ruling, ruling.check_shown):
        assert who_sees(cast, fresh(thing)) == {"tutor", "assistant", "student"}


def test_giving_back_counts_for_that_student_alone(cast: Cast, stage: Stage) -> None:
    paper, ruling = ruled(cast, stage)
    theirs = handed_in(stage, cast.fellow)
    other = rule(statement=latest(theirs.observations.get()), by=cast.tutor)
    release(paper=paper, by=cast.tutor)
    assert sees(cast.student, fresh(ruling))
    assert not sees(cast.fellow, fresh(other))
    assert not sees(cast.student, fresh(other))


def test_an_extension_never_sees_answers_early(cast: Cast, stage: Stage) -> None:
    paper, ruling = ruled(cast, stage)
    assignments.extend(
        assignment=stage.assignment, student=cast.student, by=cast.tutor,
        closes_at=now() + timedelta(days=9),
    )  # fmt: skip
    release(paper=paper, by=cast.tutor)
    close(stage)
    assert not sees(cast.student, fresh(ruling))
    assert not sees(cast.student, fresh(ruling), days=8.9)
    assert sees(cast.student, fresh(ruling), days=9.1)


def test_an_extension_waits_also_where_a_ruling_alone_shows(cast: Cast) -> None:
    stage = make_stage(cast, Course.Form.OPEN)
    assignments.extend(
        assignment=stage.assignment, student=cast.student, by=cast.tutor,
        closes_at=now() + timedelta(days=9),
    )  # fmt: skip
    _paper, ruling = ruled(cast, stage)
    assert not sees(cast.student, fresh(ruling))
    assert sees(cast.student, fresh(ruling), days=9.1)


def test_an_open_course_shows_what_is_ruled(cast: Cast) -> None:
    stage = make_stage(cast, Course.Form.OPEN)
    paper, ruling = ruled(cast, stage, OCTAVE, FREE)
    assert paper.state == Paper.State.HANDED_IN
    assert sees(cast.student, fresh(ruling))
    second = latest(paper.observations.order_by("pk")[1])
    check = second.checks.get()
    assert not sees(cast.student, check)


def test_a_ruling_on_an_earlier_version_shows_nothing_of_a_later_one(cast: Cast) -> None:
    stage = make_stage(cast, Course.Form.OPEN)
    paper, ruling = ruled(cast, stage, OCTAVE, FREE)
    state(paper, stage.run, {**OCTAVE, "bars": "1-3"}, key="k1", if_match=1)
    from analysis.jobs.worker import drain

    drain()
    later = latest(paper.observations.order_by("pk")[0]).checks.get(current=True)
    assert later.observation_version.number == 2
    assert sees(cast.student, fresh(ruling))
    assert not sees(cast.student, later)


@pytest.mark.parametrize("at_once", [True, False])
def test_a_prompt_marked_so_shows_what_is_ruled_once_it_is_closed(
    cast: Cast, at_once: bool
) -> None:
    stage = make_stage(cast, prompt={"shown_when_ruled": at_once})
    paper, ruling = ruled(cast, stage, OCTAVE, FREE)
    assert paper.state == Paper.State.HANDED_IN
    assert not sees(cast.student, fresh(ruling))
    close(stage)
    assert sees(cast.student, fresh(ruling)) is at_once


# --- bars an open assignment asks about --------------------------------------------


@pytest.mark.parametrize(
    ("bars", "hidden"),
    [((0, 3), True), ((3, 6), True), ((1, 1), True), ((4, 7), False)],
)
def test_another_open_assignment_hides_answers_on_its_bars(
    cast: Cast, bars: tuple[int, int], hidden: bool
) -> None:
    stage = make_stage(cast)
    paper, ruling = ruled(cast, stage)
    release(paper=paper, by=cast.tutor)
    assert sees(cast.student, fresh(ruling))
    first, last = bars
    publish(stage.course, stage.version, "Second", prompt={"first_bar": first, "last_bar": last})
    assert sees(cast.student, fresh(ruling)) is not hidden
    assert sees(cast.student, fresh(ruling.check_shown)) is not hidden
    assert sees(cast.student, fresh(ruling), days=7.1)


def test_a_corrected_file_of_the_same_score_counts_with_it(cast: Cast, stage: Stage) -> None:
    paper, ruling = ruled(cast, stage)
    release(paper=paper, by=cast.tutor)
    other = ScoreVersion.objects.create(
        score=stage.score, number=2, size=1, sha256="f" * 64, state="ready",
        uploaded_by=cast.tutor, original="none",
    )  # fmt: skip
    publish(stage.course, other, "On the corrected file")
    assert not sees(cast.student, fresh(ruling))


def test_what_was_shown_on_an_own_paper_stays(cast: Cast, stage: Stage) -> None:
    paper, ruling = ruled(cast, stage)
    release(paper=paper, by=cast.tutor)
    assert ruling.check_shown is not None
    mark_shown([fresh(ruling.check_shown)], cast.student, now())
    publish(stage.course, stage.version, "Second")
    assert sees(cast.student, fresh(ruling))
    assert sees(cast.student, fresh(ruling.check_shown))
    assert not sees(cast.fellow, fresh(ruling))


def test_another_course_s_open_assignment_hides_too(cast: Cast, stage: Stage) -> None:
    from tests.cast import enrol, make_course

    paper, ruling = ruled(cast, stage)
    release(paper=paper, by=cast.tutor)
    second = make_course(cast.tutor, title="Another evening")
    publish(second, stage.version, "Elsewhere")
    assert sees(cast.student, fresh(ruling)), "not in that course"
    enrol(second, cast.student)
    assert not sees(cast.student, fresh(ruling))


def test_an_open_course_s_assignment_hides_nothing(cast: Cast, stage: Stage) -> None:
    from tests.cast import enrol, make_course

    paper, ruling = ruled(cast, stage)
    release(paper=paper, by=cast.tutor)
    second = make_course(cast.tutor, Course.Form.OPEN, "At one's own pace")
    enrol(second, cast.student)
    publish(second, stage.version, "Whenever")
    assert sees(cast.student, fresh(ruling))


# --- notes -----------------------------------------------------------------------


def test_notes(cast: Cast, stage: Stage) -> None:
    course_people = {"tutor", "assistant", "student", "fellow"}
    assert who_sees(cast, note(stage)) == course_people
    assert who_sees(cast, note(stage, state=Note.State.PRIVATE)) == {"tutor"}
    assert who_sees(cast, note(stage, course=None)) == {"tutor"}


def test_a_note_for_after_release(cast: Cast, stage: Stage) -> None:
    late = note(stage, after_release=True)
    elsewhere = note(stage, after_release=True, first_bar=6, last_bar=7)
    assert who_sees(cast, late) == {"tutor", "assistant"}
    assert sees(cast.student, elsewhere)
    paper, _ruling = ruled(cast, stage)
    close(stage)
    assert not sees(cast.student, late), "closed is not given back"
    release(paper=paper, by=cast.tutor)
    assert sees(cast.student, late)
    assert sees(cast.fellow, late), "wrote nothing; the answers are out"
    theirs = paper_of(cast.fellow, stage.assignment)
    assert theirs.state == Paper.State.OPEN
    assert not sees(cast.fellow, late), "can still hand in, late"


# --- finds, threads, model answers -------------------------------------------------


def send(stage: Stage, student: User, **more: Any) -> Find:
    values = {"client_key": f"f{Find.objects.count()}", "first_bar": 0, "last_bar": 0, **more}
    return finds.send_find(
        student=student, course=stage.course, version=stage.version, text="Here!", **values
    )


def test_a_find_is_its_student_s_unless_shown_to_the_group(cast: Cast, stage: Stage) -> None:
    assert who_sees(cast, send(stage, cast.student)) == {"student", "tutor", "assistant"}
    elsewhere = send(stage, cast.student, first_bar=6, last_bar=6)
    assert who_sees(cast, elsewhere) == {"student", "tutor", "assistant"}
    shown = send(stage, cast.student, shown_to_group=True)
    free = send(stage, cast.student, shown_to_group=True, first_bar=6, last_bar=6)
    assert not sees(cast.fellow, shown), "an open assignment asks about this bar"
    assert sees(cast.fellow, shown, days=7.1)
    assert who_sees(cast, free) == {"student", "fellow", "tutor", "assistant"}


def test_threads_are_between_the_student_and_the_teaching_side(cast: Cast, stage: Stage) -> None:
    shown = send(stage, cast.student, shown_to_group=True, first_bar=6, last_bar=6)
    assert who_sees(cast, shown.messages.get()) == {"student", "tutor", "assistant"}
    statement = handed_in(stage, cast.student).observations.get()
    word = finds.answer(author=cast.student, client_key="m", text="Why?", observation=statement)
    assert who_sees(cast, Message.objects.get(pk=word.pk)) == {"student", "tutor", "assistant"}


def test_a_model_answer_comes_with_the_own_paper(cast: Cast, stage: Stage) -> None:
    paper, _ruling = ruled(cast, stage)
    assert stage.assignment.current is not None
    prompt = stage.assignment.current.prompts.get()
    assert who_sees(cast, ModelAnswer(prompt, paper)) == {"tutor", "assistant"}
    release(paper=paper, by=cast.tutor)
    assert who_sees(cast, ModelAnswer(prompt, fresh(paper))) == {"tutor", "assistant", "student"}
    publish(stage.course, stage.version, "Second")
    assert not sees(cast.student, ModelAnswer(prompt, fresh(paper)))


def test_many_things_at_once_are_the_same_as_one_by_one(
    cast: Cast, stage: Stage, django_assert_max_num_queries: Any
) -> None:
    things: list[Any] = [note(stage, after_release=n % 2 == 0, first_bar=n % 8, last_bar=7)
                         for n in range(16)]  # fmt: skip
    for user in cast.everybody().values():
        one_by_one = [t for t in things if may_see(user, t, now())]
        with django_assert_max_num_queries(5):
            assert seen_of(user, things, now()) == one_by_one
