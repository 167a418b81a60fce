"""Times with their zone and bars in words, the same on desk, paper and course."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from courses.models import Extension
from courses.templatetags.trade import in_bars, moment
from tests.cast import Cast, make_stage, paper_of


def test_a_moment_shows_the_clock_on_the_wall_and_its_zone() -> None:
    # Oslo is two hours before UTC in summer, one in winter (tz database).
    said = moment(datetime(2026, 7, 1, 18, 30, tzinfo=UTC), "Europe/Oslo")
    assert "Wed 1 July 2026, 20:30</time> (Europe/Oslo)" in said
    said = moment(datetime(2026, 12, 1, 18, 30, tzinfo=UTC), "Europe/Oslo")
    assert "Tue 1 December 2026, 19:30" in said
    assert moment(None) == ""


@pytest.mark.parametrize(
    ("label", "said"), [("2", "Bar 2"), ("2–4", "Bars 2–4"), ("12-13", "Bars 12-13"), ("", "")]
)
def test_one_bar_is_a_bar(label: str, said: str) -> None:
    assert in_bars(label) == said


@pytest.mark.django_db
def test_desk_paper_and_course_say_the_same_time(cast: Cast, client: Client) -> None:
    stage = make_stage(cast, closes_wall="2098-05-05 20:00", zone="Europe/Oslo")
    paper_of(cast.student, stage.assignment)
    client.force_login(cast.student)
    pages = [
        reverse("desk"),
        reverse("paper", args=[stage.assignment.public_id]),
        reverse("course", args=[stage.course.public_id]),
    ]
    for page in pages:
        found = re.findall(
            r"<time[^>]*>([^<]*)</time> \(([^)]*)\)", client.get(page).content.decode()
        )
        assert found == [("Mon 5 May 2098, 20:00", "Europe/Oslo")], page
    longer = timezone.now() + timedelta(days=40000)
    Extension.objects.create(assignment=stage.assignment, student=cast.student, closes_at=longer)
    said = {str(re.findall(r"<time[^>]*>", client.get(page).content.decode())) for page in pages}
    assert len(said) == 1, "an extension counts on all three"
