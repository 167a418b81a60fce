"""Settings of an assignment: kinds and tolerances, from the form to the check and the student."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from analysis.engine.tolerances import BY_NAME, TOLERANCES
from courses.models import Assignment, Prompt
from submissions import checking
from submissions.kinds import KINDS
from submissions.models import Check, Paper
from submissions.services.papers import release
from submissions.services.rulings import rule
from submissions.sight import may_see
from submissions.strictness import form_rows, number
from tests.cast import FREE, OCTAVE, UNISON, Cast, Stage, handed_in, latest, make_stage, state

pytestmark = pytest.mark.django_db
LATE = {**OCTAVE, "bars": "3-6"}


def form(made: Assignment, **more: str) -> dict[str, Any]:
    """The page's own fields as a browser would send them, with these changed."""
    made.refresh_from_db()
    prompt = made.draft["prompts"][0]
    key = prompt["key"]
    sent = {
        "title": made.title, "revision": str(made.revision), "text": "",
        "score_version": made.draft["score_version"], "zone": "UTC",
        "closes_wall": made.draft["closes_wall"], "opens_wall": "", "free_finds_max": "5",
        "prompt": key, f"{key}-title": prompt["title"], f"{key}-bars": "1-4",
        f"{key}-checked": prompt["checked"], f"{key}-wanted_min": "1", f"{key}-wanted_max": "3",
    }  # fmt: skip
    rows = form_rows({"settings": {}, "kinds": {}, **made.draft})
    for topic in rows["topics"]:
        sent.update({f"tol-{row['name']}": row["value"] for row in topic["rows"]})
    sent.update({f"kind-{row['name']}": row["checked"] for row in rows["kinds"]})
    return {**sent, **more}


@pytest.fixture
def tutor(cast: Cast, client: Client) -> Client:
    client.force_login(cast.tutor)
    return client


def send(tutor: Client, made: Assignment, **more: str) -> Any:
    where = reverse("assignment", args=[made.public_id])
    return tutor.post(where, form(made, **more), follow=True)


def test_the_form_shows_every_setting_with_its_sentence_and_changes_nothing(
    tutor: Client, stage: Stage
) -> None:
    shown = tutor.get(reverse("assignment", args=[stage.assignment.public_id])).content.decode()
    for t in TOLERANCES:
        assert f'name="tol-{t.name}"' in shown
        usual = t.choices[int(t.default)] if t.choices else number(t.shown(t.default))
        assert (f"Usual: {usual}." if t.choices else f"Usual {usual}; from") in shown
    for kind in KINDS:
        assert (f'name="kind-{kind}"' in shown) is (kind != "free")
    before = Check.objects.count()
    send(tutor, stage.assignment, publish="1")
    stage.assignment.refresh_from_db()
    current = stage.assignment.current
    assert current is not None
    assert (current.number, current.settings, current.kinds) == (2, {}, {})
    assert Check.objects.count() == before


def test_what_is_typed_is_published_only_where_it_differs_and_reaches_the_check(
    tutor: Client, cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    paper = handed_in(stage, cast.student, LATE)
    assert Check.objects.get(current=True).flag == "partly"
    send(
        tutor, stage.assignment, publish="1",
        **{"tol-near_share": "90", "tol-bar_offset": "0", "tol-tutti_share": "80",
           "tol-doubling_full": "", "kind-role": "flag-only"},
    )  # fmt: skip
    stage.assignment.refresh_from_db()
    current = stage.assignment.current
    assert current is not None
    assert current.settings == {"near_share": 0.9, "bar_offset": 0}
    assert current.kinds == {"role": "flag-only"}
    drain_jobs()
    check = Check.objects.get(current=True)
    assert (check.flag, check.settings) == ("conflicts", {"near_share": 0.9, "bar_offset": 0})
    board = tutor.get(reverse("board", args=[stage.assignment.public_id])).content.decode()
    assert "Not checked as usual in this assignment" in board
    assert f"{BY_NAME['bar_offset'].title}: 0 bars" in board
    assert latest(paper.observations.get()).checks.count() == 2


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"tol-near_share": "much"}, "“much” is no number."),
        ({"tol-near_share": "nan"}, "“nan” is no number."),
        ({"tol-near_share": "inf"}, "“inf” is no number."),
        ({"tol-near_share": "7"}, "lies between 25 and 90, not at 7."),
        ({"tol-bar_offset": "1,5"}, "takes a whole number, not 1.5."),
        ({"tol-doubling_contact": "35"}, "cannot be above"),
    ],
)
def test_what_makes_no_sense_is_refused_with_a_sentence_and_stays_as_typed(
    tutor: Client, stage: Stage, typed: dict[str, str], said: str
) -> None:
    answer = send(tutor, stage.assignment, publish="1", **typed)
    shown = answer.content.decode()
    assert said in shown
    ((name, value),) = typed.items()
    assert f'id="{name}" name="{name}" inputmode="decimal" size="5" value="' in shown
    assert f'value="{value.replace(",", ".")}"' in shown
    stage.assignment.refresh_from_db()
    assert stage.assignment.current is not None
    assert stage.assignment.current.number == 1


def test_a_page_from_before_leaves_the_settings_as_they_are(tutor: Client, stage: Stage) -> None:
    send(tutor, stage.assignment, **{"tol-bar_offset": "2", "kind-key": "left-alone"})
    sent = {k: v for k, v in form(stage.assignment).items() if not k.startswith(("tol-", "kind-"))}
    tutor.post(reverse("assignment", args=[stage.assignment.public_id]), sent)
    stage.assignment.refresh_from_db()
    assert stage.assignment.draft["settings"] == {"bar_offset": 2}
    assert stage.assignment.draft["kinds"] == {"key": "left-alone"}


# --- kinds: checked, only flagged for the tutor, left alone ---------------------------------------


def ruled(cast: Cast, paper: Paper) -> Check:
    rule(statement=latest(paper.observations.get()), by=cast.tutor, reply="Look once more.")
    paper.refresh_from_db()
    release(paper=paper, by=cast.tutor)
    return Check.objects.get(current=True)


def page(user: Any, name: str, thing: Any) -> str:
    client = Client()
    client.force_login(user)
    return client.get(reverse(name, args=[thing.public_id])).content.decode()


def test_a_kind_flagged_for_the_tutor_alone(cast: Cast) -> None:
    stage = make_stage(cast, kinds={"doubling": "flag-only"})
    paper = handed_in(stage, cast.student, UNISON)
    sentence = Check.objects.get().answer["sentence"]
    shown = page(cast.tutor, "review", stage.assignment)
    assert sentence in shown
    assert "for you alone" in shown
    check = ruled(cast, paper)
    for _look in range(2):
        shown = page(cast.student, "paper", stage.assignment)
        assert f"flag-{check.flag}" in shown
        assert sentence not in shown
        assert "data-show-evidence" not in shown
        assert not may_see(cast.student, Check.objects.get(), timezone.now())
    assert may_see(cast.tutor, check, timezone.now())


def test_a_kind_left_alone_is_never_computed(cast: Cast, monkeypatch: Any) -> None:
    def asked(*_args: Any) -> None:
        raise AssertionError("the engine was asked")

    monkeypatch.setattr(checking, "answer_for", asked)
    stage = make_stage(cast, kinds={"doubling": "left-alone"})
    handed_in(stage, cast.student, UNISON)
    check = Check.objects.get()
    assert (check.flag, check.cause, check.run) == ("ear", "left-alone", None)
    assert "Not compared, by the tutor’s wish" in page(cast.tutor, "review", stage.assignment)


@pytest.mark.parametrize(
    ("of_prompt", "of_kind", "holds"),
    [
        ("facts", "flag-only", "flag-only"),
        ("flag-only", "facts", "flag-only"),
        ("left-alone", "flag-only", "left-alone"),
        ("flag-only", "left-alone", "left-alone"),
    ],
)
def test_of_prompt_and_kind_the_more_cautious_holds(
    cast: Cast, of_prompt: str, of_kind: str, holds: str
) -> None:
    kinds = {} if of_kind == "facts" else {"doubling": of_kind}
    stage = make_stage(cast, prompt={"checked": of_prompt}, kinds=kinds)
    handed_in(stage, cast.student, UNISON)
    check = Check.objects.get()
    assert (check.kept_back, check.cause == "left-alone") == (
        holds == Prompt.Checked.FLAG_ONLY, holds == Prompt.Checked.LEFT_ALONE,
    )  # fmt: skip


def test_a_free_find_and_another_kind_have_the_wish_of_their_own_kind(cast: Cast) -> None:
    stage = make_stage(cast, kinds={"doubling": "left-alone"})
    paper = handed_in(stage, cast.student, FREE, check=False)
    find = state(paper, stage.run, UNISON, key="find")  # tied to no prompt
    from analysis.jobs.worker import drain
    from submissions.services.papers import hand_in

    paper.refresh_from_db()
    hand_in(paper=paper, student=cast.student)
    drain(most=100, seconds=60)
    assert latest(find).checks.get().cause == "left-alone"
    free = paper.observations.get(client_key="k1")
    assert latest(free).checks.get().cause != "left-alone"


def test_what_is_given_back_keeps_its_flags_and_the_form_says_so(
    tutor: Client, cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    paper = handed_in(stage, cast.student, LATE)
    check = ruled(cast, paper)
    where = reverse("assignment", args=[stage.assignment.public_id])
    assert "its flags stay as they were shown" in tutor.get(where).content.decode()
    send(tutor, stage.assignment, publish="1",
         **{"tol-near_share": "90", "tol-bar_offset": "0"})  # fmt: skip
    drain_jobs()
    assert Check.objects.get(current=True) == check
    assert f"flag-{check.flag}" in page(cast.student, "paper", stage.assignment)
    assert "unless you take the new one" in page(cast.tutor, "board", stage.assignment)
