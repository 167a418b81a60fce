"""Statements: versions, If-Match, retries; handing in."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from analysis.jobs.models import Job
from courses.models import AssignmentVersion
from submissions.models import Observation, Paper
from submissions.services import observations, papers
from submissions.services.observations import Stale, save_statement, take_back
from submissions.services.rulings import rule
from tests.cast import FREE, OCTAVE, UNISON, Cast, Stage, handed_in, latest, paper_of, state
from tests.rewrite import rewrite

pytestmark = pytest.mark.django_db


@pytest.fixture
def paper(cast: Cast, stage: Stage) -> Paper:
    return paper_of(cast.student, stage.assignment)


def put(paper: Paper, key: str, typed: Any, match: int | None = None, **heads: str) -> Any:
    client = Client()
    client.force_login(paper.student)
    heads = {"If-Match": f'"{match}"'} if match is not None else heads
    url = reverse("api-statement", args=[paper.public_id, key])
    return client.put(url, json.dumps(typed), content_type="application/json", headers=heads)


def test_opening_twice_is_one_paper(cast: Cast, stage: Stage, paper: Paper) -> None:
    assert paper_of(cast.student, stage.assignment) == paper


def test_the_same_key_is_one_row_and_a_retry_changes_nothing(stage: Stage, paper: Paper) -> None:
    first = put(paper, "k", OCTAVE)
    retried = put(paper, "k", OCTAVE)
    assert first.json() == retried.json()
    assert first.json()["number"] == 1
    assert Observation.objects.get().versions.count() == 1


def test_a_retry_of_a_save_that_arrived_is_harmless_though_its_number_is_old(
    stage: Stage, paper: Paper
) -> None:
    """The answer to save 2 got lost; the browser sends it again with the number it knows."""
    put(paper, "k", OCTAVE)
    assert put(paper, "k", UNISON, match=1).json()["number"] == 2
    again = put(paper, "k", UNISON, match=1)
    assert (again.status_code, again.json()["number"]) == (200, 2)


def test_every_change_is_a_version_and_the_old_ones_stay(stage: Stage, paper: Paper) -> None:
    put(paper, "k", OCTAVE)
    put(paper, "k", {**OCTAVE, "words": "Or not?"}, match=1)
    observation = Observation.objects.get()
    assert observation.number == 2
    assert [v.words for v in observation.versions.order_by("number")] == [
        OCTAVE["words"], "Or not?",
    ]  # fmt: skip


def test_a_save_over_another_window_s_is_refused_with_both_texts(
    stage: Stage, paper: Paper
) -> None:
    put(paper, "k", OCTAVE)
    put(paper, "k", {**OCTAVE, "words": "theirs"}, match=1)
    refused = put(paper, "k", {**OCTAVE, "words": "mine"}, match=1)
    assert refused.status_code == 412
    assert refused.json()["theirs"]["typed"]["words"] == "theirs"
    assert refused.json()["theirs"]["number"] == 2
    assert latest(Observation.objects.get()).words == "theirs"


def test_two_saves_at_once_lose_neither(stage: Stage, paper: Paper, monkeypatch: Any) -> None:
    """The row moves on between reading and writing: the second is told, nothing is overwritten."""
    first = state(paper, stage.run)
    real = observations.latest

    def meanwhile(observation: Observation) -> Any:
        found = real(observation)
        monkeypatch.setattr(observations, "latest", real)
        state(paper, stage.run, {**OCTAVE, "words": "theirs"}, key=first.client_key, if_match=1)
        return found

    monkeypatch.setattr(observations, "latest", meanwhile)
    with pytest.raises(Stale) as stale:
        state(paper, stage.run, {**OCTAVE, "words": "mine"}, key=first.client_key, if_match=1)
    assert stale.value.theirs.words == "theirs"


def test_what_was_typed_comes_back_even_if_it_says_nothing_yet(stage: Stage, paper: Paper) -> None:
    typed = {"kind": "doubling", "bars": "400-410", "words": "Somewhere …",
             "says": {"parts": "the Oboes of Oz", "octaves": "1", "coverage": "full"}}  # fmt: skip
    kept = put(paper, "k", typed).json()
    assert set(kept["problems"]) >= {"bars", "parts", "with_"}
    assert kept["typed"] == {**typed, "sense": "seen", "doubt": ""}
    client = Client()
    client.force_login(paper.student)
    listed = client.get(reverse("api-statements", args=[paper.public_id])).json()
    assert listed == [kept]


def test_a_place_that_became_unreadable_is_no_longer_kept(stage: Stage, paper: Paper) -> None:
    put(paper, "k", OCTAVE)
    kept = put(paper, "k", {**OCTAVE, "bars": "99"}, match=1).json()
    assert kept["first_bar"] is None


def test_a_question_that_is_not_asked_is_refused(stage: Stage, paper: Paper) -> None:
    foreign = "0f0f0f0f-0000-4000-8000-000000000009"
    assert put(paper, "k", {**OCTAVE, "prompt": foreign}).status_code == 409
    assert put(paper, "k", {**OCTAVE, "prompt": stage.prompt_key}).status_code == 200


@pytest.mark.parametrize("heads", [{}, {"If-Match": "*"}, {"If-Match": "²"}], ids=str)
def test_a_change_that_names_no_version_is_refused(
    stage: Stage, paper: Paper, heads: dict[str, str]
) -> None:
    put(paper, "k", OCTAVE)
    refused = put(paper, "k", {**OCTAVE, "words": "mine"}, **heads)
    assert refused.status_code == 428
    assert "Say which version" in refused.json()["detail"]
    assert latest(Observation.objects.get()).words == OCTAVE["words"]


def test_what_is_called_new_overwrites_nothing(stage: Stage, paper: Paper) -> None:
    new = {"If-None-Match": "*"}
    assert put(paper, "k", OCTAVE, **new).json()["number"] == 1
    assert put(paper, "k", OCTAVE, **new).json()["number"] == 1, "the answer got lost: once more"
    refused = put(paper, "k", {**OCTAVE, "words": "mine"}, **new)
    assert refused.status_code == 412
    assert refused.json()["theirs"]["typed"]["words"] == OCTAVE["words"]


def test_fields_nobody_knows_are_refused(stage: Stage, paper: Paper, cast: Cast) -> None:
    with pytest.raises(ValidationError):
        save_statement(paper=paper, student=cast.student, client_key="k",
                       values={"kind": "free", "state": "handed-in"})  # fmt: skip


def test_the_same_key_of_two_students_is_two_statements(cast: Cast, stage: Stage) -> None:
    for student in (cast.student, cast.fellow):
        state(paper_of(student, stage.assignment), stage.run, key="same")
    assert Observation.objects.filter(client_key="same").count() == 2


# --- handing in --------------------------------------------------------------------


def test_handing_in_sends_every_draft_to_the_checker_once(cast: Cast, stage: Stage) -> None:
    paper = handed_in(stage, cast.student, OCTAVE, FREE, check=False)
    assert paper.state == Paper.State.HANDED_IN
    assert Job.objects.filter(kind="check").count() == 2
    again = papers.hand_in(paper=paper, student=cast.student)
    assert again.handed_in_at == paper.handed_in_at
    assert Job.objects.filter(kind="check").count() == 2


def test_a_second_click_on_a_ruled_paper_leaves_it_ruled(cast: Cast, stage: Stage) -> None:
    paper = handed_in(stage, cast.student)
    rule(statement=latest(paper.observations.get()), by=cast.tutor)
    papers.hand_in(paper=paper, student=cast.student)
    paper.refresh_from_db()
    assert paper.state == Paper.State.RULED


def test_an_empty_paper_is_not_handed_in(cast: Cast, stage: Stage, paper: Paper) -> None:
    with pytest.raises(ValidationError) as refused:
        papers.hand_in(paper=paper, student=cast.student)
    assert refused.value.code == "nothing"
    observation = state(paper, stage.run)
    take_back(observation=observation, student=cast.student)
    with pytest.raises(ValidationError):
        papers.hand_in(paper=paper, student=cast.student)


def test_an_incomplete_statement_is_named_and_nothing_goes(cast: Cast, paper: Paper) -> None:
    put(paper, "k1", OCTAVE)
    put(paper, "k2", {**OCTAVE, "bars": ""})
    client = Client()
    client.force_login(cast.student)
    answer = client.post(reverse("api-hand-in", args=[paper.public_id]))
    assert answer.status_code == 409
    assert "not complete" in answer.json()["detail"]
    paper.refresh_from_db()
    assert paper.state == Paper.State.OPEN
    assert not Job.objects.filter(kind="check").exists()


@pytest.mark.parametrize(("milliseconds", "late"), [(-1, False), (0, False), (1, True)])
def test_the_server_s_clock_alone_decides_what_is_late(
    cast: Cast, stage: Stage, paper: Paper, milliseconds: int, late: bool
) -> None:
    """Reliability C3: at -1, 0 and +1 ms; late ones are kept and marked."""
    closing = timezone.now() + timedelta(days=1)
    rewrite(AssignmentVersion.objects.all(), closes_at=closing)
    paper.refresh_from_db()
    state(paper, stage.run)
    done = papers.hand_in(
        paper=paper, student=cast.student, now=closing + timedelta(milliseconds=milliseconds)
    )
    assert (done.state, done.late) == (Paper.State.HANDED_IN, late)


def test_changing_a_statement_after_handing_in_asks_for_a_new_check(
    cast: Cast, stage: Stage
) -> None:
    paper = handed_in(stage, cast.student)
    rule(statement=latest(paper.observations.get()), by=cast.tutor)
    state(paper, stage.run, UNISON, if_match=1)
    paper.refresh_from_db()
    assert paper.state == Paper.State.HANDED_IN, "there is something to rule on again"
    assert Job.objects.filter(kind="check", state="queued").count() == 1


def test_taking_back_the_last_unruled_statement_leaves_the_paper_ruled(
    cast: Cast, stage: Stage
) -> None:
    paper = handed_in(stage, cast.student, OCTAVE, FREE)
    first, second = paper.observations.order_by("pk")
    rule(statement=latest(first), by=cast.tutor)
    take_back(observation=second, student=cast.student)
    paper.refresh_from_db()
    assert paper.state == Paper.State.RULED
    second.refresh_from_db()
    assert second.state == Observation.State.WITHDRAWN
    assert second.versions.count() == 1


def test_nothing_is_written_after_release_not_even_with_an_old_paper_in_hand(
    cast: Cast, stage: Stage
) -> None:
    paper = handed_in(stage, cast.student)
    before = Paper.objects.get(pk=paper.pk)
    observation = paper.observations.get()
    papers.release(paper=paper, by=cast.tutor)
    for act in (
        lambda: state(before, stage.run, FREE, key="k9"),
        lambda: take_back(observation=observation, student=cast.student),
        lambda: papers.hand_in(paper=before, student=cast.student),
    ):
        with pytest.raises(ValidationError) as refused:
            act()
        assert refused.value.code == "released"


def test_giving_back_twice_is_once(cast: Cast, stage: Stage) -> None:
    paper = handed_in(stage, cast.student)
    papers.release(paper=paper, by=cast.tutor)
    papers.release(paper=paper, by=cast.tutor)
    assert paper.releases.count() == 1
