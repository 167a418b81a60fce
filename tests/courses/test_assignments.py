"""Drafts, the clock, publishing, extensions."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from courses import drafts
from courses.models import Assignment, AssignmentVersion, Course, ScoreVersion
from courses.services import assignments
from submissions.sight import closes_at
from tests.cast import Cast, Stage, draft_for, make_course, publish, ready_score

#: Contract C4: half-hour shifts, both hemispheres, the date line, zones without shifts.
ZONES = ["Europe/Oslo", "Europe/London", "America/New_York", "America/Sao_Paulo",
         "Australia/Lord_Howe", "Pacific/Apia", "Pacific/Auckland", "Africa/Casablanca",
         "Asia/Kolkata", "America/St_Johns", "Asia/Gaza", "Pacific/Chatham"]  # fmt: skip


def shifts(zone: str, first: int = 2025, last: int = 2030) -> list[tuple[datetime, timedelta]]:
    """(instant, change of the offset) of every shift, found by walking the hours in UTC."""
    here = ZoneInfo(zone)
    at, end = datetime(first, 1, 1, tzinfo=UTC), datetime(last + 1, 1, 1, tzinfo=UTC)
    found, step = [], timedelta(hours=6)
    before = at.astimezone(here).utcoffset()
    while at < end:
        later = at + step
        after = later.astimezone(here).utcoffset()
        assert before is not None
        assert after is not None
        if after != before:
            low, high = at, later
            while high - low > timedelta(minutes=1):
                middle = low + (high - low) / 2
                if middle.astimezone(here).utcoffset() == before:
                    low = middle
                else:
                    high = middle
            found.append((high.replace(second=0, microsecond=0), after - before))
        at, before = later, after
    return found


@pytest.mark.parametrize("zone", ZONES)
def test_gaps_and_doubled_hours_are_refused_and_the_rest_is_kept(zone: str) -> None:
    """Every shift from 2025 to 2030; the oracle walks UTC, which has neither gap nor fold."""
    here = ZoneInfo(zone)
    for at, change in shifts(zone):
        old = at - timedelta(minutes=1)
        start = at.astimezone(here).replace(tzinfo=None)
        if change > timedelta(0):
            inside = start - change / 2
            with pytest.raises(ValidationError, match="does not exist"):
                drafts.instant(inside.isoformat(" ", "minutes"), zone)
        else:
            inside = start - change / 2
            with pytest.raises(ValidationError, match="happens twice"):
                drafts.instant(inside.isoformat(" ", "minutes"), zone)
        for outside in (old - abs(change), at + abs(change)):
            shown = outside.astimezone(here).replace(tzinfo=None)
            assert drafts.instant(shown.isoformat(" ", "minutes"), zone) == outside


def test_there_were_shifts_to_test() -> None:
    counts = {zone: len(shifts(zone)) for zone in ZONES}
    assert counts["Europe/Oslo"] == 12
    assert counts["Australia/Lord_Howe"] == 12
    assert {abs(change) for _at, change in shifts("Australia/Lord_Howe")} == {timedelta(minutes=30)}
    assert counts["Asia/Kolkata"] == 0


@pytest.mark.parametrize(
    ("wall_text", "zone"),
    [("tomorrow", "UTC"), ("2026-13-01 10:00", "UTC"), ("2026-11-26 20:00", "Mars/Olympus"),
     ("2026-11-26 20:00+05:00", "UTC"), ("2026-11-26T20:00Z", "Europe/Oslo")],
)  # fmt: skip
def test_what_is_no_wall_clock_time_is_refused(wall_text: str, zone: str) -> None:
    with pytest.raises(ValidationError):
        drafts.instant(wall_text, zone)


def test_no_text_is_no_time() -> None:
    assert drafts.instant("", "UTC") is None


# --- publishing ------------------------------------------------------------------


@pytest.fixture
def ready(cast: Cast) -> tuple[Course, ScoreVersion]:
    version, _run = ready_score(cast.tutor)
    return make_course(cast.tutor), version


def drafted(course: Course, version: ScoreVersion, **more: Any) -> Assignment:
    made = assignments.create_assignment(course=course, by=course.tutor, title="A")
    return assignments.save_draft(
        assignment=made, by=course.tutor, title="A", draft=draft_for(version, **more),
        if_match=made.revision,
    )  # fmt: skip


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"score_version": None}, "Choose a score"),
        ({"score_version": "no id at all"}, "Choose a score"),
        ({"prompts": []}, "at least one prompt"),
        ({"prompt": {"title": " "}}, "has no title"),
        ({"prompt": {"first_bar": None}}, "choose its bars"),
        ({"prompt": {"first_bar": 90, "last_bar": 99}}, "choose its bars"),
        ({"prompt": {"wanted_min": 4, "wanted_max": 2}}, "more at least than at most"),
        ({"prompt": {"key": "no uuid"}}, "load the page again"),
        ({"settings": {"no_such_threshold": 1}}, "no_such_threshold"),
        ({"closes_wall": ""}, "when the assignment closes"),
        ({"opens_wall": "2097-01-01 10:00"}, "closes before it opens"),
        ({"closes_wall": "2026-03-29 02:30", "zone": "Europe/Oslo"}, "does not exist"),
    ],
)
def test_what_hinders_publishing(
    ready: tuple[Course, ScoreVersion], change: dict[str, Any], says: str
) -> None:
    made = drafted(*ready, **change)
    assert any(says in sentence for sentence in assignments.hindrances(made))
    with pytest.raises(ValidationError):
        assignments.publish(assignment=made, by=made.course.tutor)
    assert not AssignmentVersion.objects.exists()


@pytest.mark.django_db
def test_another_tutor_s_score_and_an_unread_one_hinder(
    cast: Cast, ready: tuple[Course, ScoreVersion]
) -> None:
    course, version = ready
    foreign, _run = ready_score(cast.other_tutor)
    assert assignments.hindrances(drafted(course, foreign)) == ["Choose a score from your library."]
    ScoreVersion.objects.filter(pk=version.pk).update(state="reading")
    assert assignments.hindrances(drafted(course, version)) == [assignments.NOT_READY]


@pytest.mark.django_db
def test_an_open_course_needs_no_times(cast: Cast) -> None:
    version, _run = ready_score(cast.tutor)
    course = make_course(cast.tutor, Course.Form.OPEN)
    assert publish(course, version).state == Assignment.State.PUBLISHED


@pytest.mark.django_db
def test_published_versions_stay_and_prompts_keep_their_keys(cast: Cast, stage: Stage) -> None:
    made, key = stage.assignment, stage.prompt_key
    first = made.current
    assert first is not None
    draft = {**made.draft, "text": "Changed."}
    assignments.save_draft(
        assignment=made, by=cast.tutor, title="Other", draft=draft, if_match=made.revision
    )
    second = assignments.publish(assignment=made, by=cast.tutor)
    first.refresh_from_db()
    assert (first.number, first.title, first.text) == (1, "First", "")
    assert (second.number, second.title, second.text) == (2, "Other", "Changed.")
    assert str(second.prompts.get().key) == key == str(first.prompts.get().key)


@pytest.mark.django_db
def test_a_draft_changed_in_another_window_is_not_overwritten(cast: Cast, stage: Stage) -> None:
    made = stage.assignment
    seen = made.revision
    mine = {**made.draft, "text": "mine"}
    assignments.save_draft(assignment=made, by=cast.tutor, title="A", draft=mine, if_match=seen)
    with pytest.raises(ValidationError) as refused:
        assignments.save_draft(
            assignment=made, by=cast.tutor, title="B", draft=made.draft, if_match=seen
        )
    assert refused.value.code == "stale"
    made.refresh_from_db()
    assert (made.title, made.draft["text"]) == ("A", "mine")


@pytest.mark.django_db
def test_an_extension_is_one_student_s(cast: Cast, stage: Stage) -> None:
    later = timezone.now() + timedelta(days=20)
    for reason in ("ill", "still ill"):
        assignments.extend(assignment=stage.assignment, student=cast.student, by=cast.tutor,
                           closes_at=later, reason=reason)  # fmt: skip
    version = stage.assignment.current
    assert version is not None
    assert closes_at(version, cast.student) == later
    assert closes_at(version, cast.fellow) == version.closes_at
    assert stage.assignment.extensions.get().reason == "still ill"


@pytest.mark.django_db
def test_more_time_on_the_board(cast: Cast, stage: Stage, client: Client) -> None:
    client.force_login(cast.tutor)
    board = reverse("board", args=[stage.assignment.public_id])
    where = reverse("more-time", args=[stage.assignment.public_id])
    version = stage.assignment.current
    assert version is not None
    assert version.closes_at is not None
    there = version.closes_at.astimezone(ZoneInfo(version.zone)) + timedelta(days=3)
    wall = there.strftime("%Y-%m-%dT%H:%M")
    typed = {"student": str(cast.student.public_id), "until": wall, "reason": "A long journey"}
    early = client.post(where, {**typed, "until": "2001-01-01T10:00"})
    assert early.status_code == 422
    assert "That is no more time" in early.content.decode()
    assert "A long journey" in early.content.decode(), "nothing typed is lost"
    nobody = client.post(where, {**typed, "student": str(cast.stranger.public_id)})
    assert "Choose a student of this course" in nobody.content.decode()
    assert client.post(where, typed).status_code == 302
    given = closes_at(version, cast.student)
    assert given is not None
    assert given.astimezone(ZoneInfo(version.zone)).strftime("%Y-%m-%dT%H:%M") == wall
    assert closes_at(version, cast.fellow) == version.closes_at
    assert "A long journey" in client.get(board).content.decode()
    client.post(where, {**typed, "until": ""})
    assert closes_at(version, cast.student) == version.closes_at
