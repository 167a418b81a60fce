"""How much is wanted, and until when a score may be used."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from courses.models import AssignmentVersion, Prompt, Rights, Score
from submissions.models import Paper
from submissions.services import papers
from tests.cast import FREE, OCTAVE, RIGHTS, Cast, Stage, paper_of, state
from tests.rewrite import rewrite

pytestmark = pytest.mark.django_db


def written(cast: Cast, stage: Stage, on_prompt: int, finds: int = 0) -> Paper:
    paper = paper_of(cast.student, stage.assignment)
    for n in range(on_prompt + finds):
        key = stage.prompt_key if n < on_prompt else None
        state(paper, stage.run, FREE, key=f"k{n}", prompt_key=key)
    return paper


def test_more_than_a_prompt_takes_is_not_handed_in_and_nothing_is_lost(
    cast: Cast, stage: Stage
) -> None:
    rewrite(Prompt.objects.all(), wanted_max=2)
    paper = written(cast, stage, 3)
    with pytest.raises(ValidationError, match="takes 2 statements at most, and you have 3"):
        papers.hand_in(paper=paper, student=cast.student)
    assert paper.observations.filter(state="draft").count() == 3


@pytest.mark.parametrize("free", [False, True])
def test_one_too_many_is_kept_and_said_when_it_is_kept(
    cast: Cast, stage: Stage, client: Client, free: bool
) -> None:
    rewrite(Prompt.objects.all(), wanted_max=2)
    rewrite(AssignmentVersion.objects.all(), free_finds_max=2)
    paper = paper_of(cast.student, stage.assignment)
    client.force_login(cast.student)
    said = []
    for n in range(3):
        where = reverse("api-statement", args=[paper.public_id, f"k{n}"])
        typed = {**FREE, "prompt": None if free else stage.prompt_key}
        answer = client.put(where, typed, "application/json", headers={"If-None-Match": "*"})
        assert answer.status_code == 200
        said.append(answer.json()["notice"])
    assert said[:2] == ["", ""]
    assert "2 at most" in said[2] if free else "takes 2 statements at most" in said[2]
    assert "you have 3: take some back first" in said[2]
    assert paper.observations.filter(state="draft").count() == 3
    client.delete(reverse("api-statement", args=[paper.public_id, "k0"]))
    again = {**FREE, "words": "Another.", "prompt": None if free else stage.prompt_key}
    answer = client.put(where, again, "application/json", headers={"If-Match": "1"})
    assert answer.json()["notice"] == ""


def test_free_finds_have_their_own_limit(cast: Cast, stage: Stage) -> None:
    rewrite(AssignmentVersion.objects.all(), free_finds_max=1)
    paper = written(cast, stage, 1, finds=2)
    with pytest.raises(ValidationError, match="Free finds are 1 at most"):
        papers.hand_in(paper=paper, student=cast.student)


def test_what_is_missing_is_said_once_and_hinders_nobody(
    cast: Cast, stage: Stage, client: Client
) -> None:
    rewrite(Prompt.objects.all(), wanted_min=2)
    paper = written(cast, stage, 1)
    client.force_login(cast.student)
    where = reverse("api-hand-in", args=[paper.public_id])
    asked = client.post(f"{where}?sure=no")
    assert asked.status_code == 409
    assert asked.json()["asked"] is True
    assert "asks for 1 more" in asked.json()["detail"]
    assert client.post(f"{where}?sure=yes").status_code == 200


def ends(stage: Stage, days: int) -> None:
    day = timezone.localdate() + timedelta(days=days)
    Rights.objects.create(score=stage.score, **{**RIGHTS, "ends_on": day})


def test_after_the_last_day_of_use_students_are_told_and_the_tutor_still_reads(
    cast: Cast, stage: Stage, client: Client
) -> None:
    state(paper_of(cast.student, stage.assignment), stage.run, OCTAVE)
    ends(stage, 0)
    assert Score.objects.readable_by(cast.student).exists(), "the last day counts"
    ends(stage, -1)
    assert not Score.objects.readable_by(cast.student).exists()
    client.force_login(cast.student)
    paper = client.get(reverse("paper", args=[stage.assignment.public_id]), follow=True)
    assert "may not be used here any longer" in paper.content.decode()
    reading = reverse("read-score", args=[stage.course.public_id, stage.score.public_id])
    assert client.get(reading).status_code == 404
    client.force_login(cast.tutor)
    assert client.get(reverse("score", args=[stage.score.public_id])).status_code == 200
    library = client.get(reverse("library")).content.decode()
    assert "closed to students" in library
    ends(stage, 20)
    assert Score.objects.readable_by(cast.student).exists(), "a newer statement counts"
    assert "use ends on" in client.get(reverse("library")).content.decode()
