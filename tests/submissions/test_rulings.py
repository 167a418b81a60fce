"""Rulings from two windows: the second is refused with a sentence, and nothing typed is lost."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from courses.models import AssignmentVersion
from submissions.models import Ruling
from submissions.services.rulings import rule, sight_of
from tests.cast import FREE, OCTAVE, UNISON, Cast, Stage, handed_in, latest, state
from tests.rewrite import rewrite

pytestmark = pytest.mark.django_db


def _open(client: Client, stage: Stage, statement: str) -> str:
    """The review page in a window; returns what it remembers of what was shown."""
    page = client.get(
        f"{reverse('review', args=[stage.assignment.public_id])}?statement={statement}"
    )
    found = re.search(r'name="seen" value="([^"]+)"', page.content.decode())
    assert found
    return found[1]


def test_a_second_window_does_not_overwrite_a_ruling(
    cast: Cast, stage: Stage, client: Client
) -> None:
    statement = handed_in(stage, cast.student).observations.get()
    client.force_login(cast.tutor)
    where = reverse("rule", args=[statement.public_id])
    one = _open(client, stage, str(statement.public_id))
    two = _open(client, stage, str(statement.public_id))
    first = client.post(where, {"flag": "partly", "reply": "Nearly.", "seen": one})
    assert first.status_code == 302
    late = client.post(where, {"flag": "", "reply": "Yes, well heard.", "level": "taste",
                               "seen": two})  # fmt: skip
    page = late.content.decode()
    assert late.status_code == 422
    assert "in another window" in page
    assert "Yes, well heard.</textarea>" in page, "the reply typed is not lost"
    assert 'value="taste" selected' in page
    assert "Nearly." in page, "nor is the ruling that stands hidden"
    standing = Ruling.objects.get(observation_version__observation=statement, current=True)
    assert (standing.flag, standing.reply) == ("partly", "Nearly.")
    three = _open(client, stage, str(statement.public_id))
    again = client.post(where, {"flag": "", "reply": "Yes.", "seen": three})
    assert again.status_code == 302
    assert Ruling.objects.get(observation_version__observation=statement, current=True).reply == (
        "Yes."
    )


def test_a_word_on_a_version_that_is_not_shown_any_more_is_refused(
    cast: Cast, stage: Stage, client: Client
) -> None:
    paper = handed_in(stage, cast.student)
    statement = paper.observations.get()
    client.force_login(cast.tutor)
    seen = _open(client, stage, str(statement.public_id))
    state(paper, stage.run, UNISON, key="k1", if_match=1)
    answer = client.post(
        reverse("rule", args=[statement.public_id]), {"flag": "agrees", "seen": seen}
    )
    assert answer.status_code == 422
    assert "changed, or checked again" in answer.content.decode()
    assert not Ruling.objects.exists()


def test_a_check_that_arrives_hinders_only_an_acceptance(cast: Cast, stage: Stage) -> None:
    statement = latest(handed_in(stage, cast.student, OCTAVE, check=False).observations.get())
    before = sight_of(statement)
    from analysis.jobs.worker import drain

    drain(most=100, seconds=60)
    assert sight_of(statement) != before
    ruling = rule(statement=statement, by=cast.tutor, flag="partly", seen=before)
    assert ruling.overrules


def test_a_bare_conflict_that_nothing_computed_explains_is_refused(
    cast: Cast, stage: Stage
) -> None:
    statement = latest(handed_in(stage, cast.student).observations.get())
    with pytest.raises(ValidationError, match="Say in a sentence what is wrong"):
        rule(statement=statement, by=cast.tutor, flag="conflicts", reply=" ")
    said = rule(statement=statement, by=cast.tutor, flag="conflicts", reply="Listen to bar 2.")
    assert (said.flag, said.overrules) == ("conflicts", True)


def test_the_tutors_ear_is_no_last_word(cast: Cast, stage: Stage) -> None:
    statement = latest(handed_in(stage, cast.student, FREE).observations.get())
    for flag in (None, "ear"):
        with pytest.raises(ValidationError, match="waits for your ear"):
            rule(statement=statement, by=cast.tutor, flag=flag)
    assert rule(statement=statement, by=cast.tutor, reply="I hear it too.").flag == "ear"
    assert rule(statement=statement, by=cast.tutor, flag="agrees").flag == "agrees"


@pytest.mark.parametrize(("days", "warned"), [(3, True), (-1, False)])
def test_giving_back_while_others_write_is_said_beside_the_button(
    cast: Cast, stage: Stage, client: Client, days: int, warned: bool
) -> None:
    paper = handed_in(stage, cast.student, check=False)
    rule(statement=latest(paper.observations.get()), by=cast.tutor, flag="agrees", reply="Yes.")
    rewrite(
        AssignmentVersion.objects.filter(pk=stage.assignment.current_id),
        closes_at=timezone.now() + timedelta(days=days),
    )
    client.force_login(cast.tutor)
    board = client.get(reverse("board", args=[stage.assignment.public_id])).content.decode()
    assert ("Others are still writing until" in board) is warned
