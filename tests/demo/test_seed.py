"""The demo course: made twice it is there once, and every statement gets the flag it should."""

from __future__ import annotations

from collections import Counter

import pytest
from django.apps import apps
from django.core.management import call_command

from courses.models import Note
from submissions import demo_course
from submissions.checking import answer_for
from submissions.models import Check, Find, Observation, Paper, Ruling
from submissions.services.observations import latest

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


def counts() -> dict[str, int]:
    own = ("courses", "analysis", "submissions")
    return {
        model._meta.label: model._base_manager.count()
        for model in apps.get_models()
        if model._meta.app_label in own
    }


def test_the_demo_course(capsys):
    call_command("seed_demo")
    first, said = counts(), capsys.readouterr().out
    call_command("seed_demo")
    assert counts() == first, "a second call changes nothing"
    assert capsys.readouterr().out == said

    plan = demo_course.scenario()
    people = [plan["tutor"], *plan["students"]]
    assert len(plan["students"]) == 12
    assert [line.split()[0] for line in said.splitlines()[1:]] == [p["username"] for p in people]
    flags_are_as_expected(plan)
    desk_review_and_board_have_something(plan)


def flags_are_as_expected(plan) -> None:
    """Drafts are asked too, though nobody has handed them in."""
    wrong = []
    made = demo_course.make()
    for row in plan["observations"]:
        statement = latest(Observation.objects.get(client_key=row["id"]))
        kept = Check.objects.filter(observation_version=statement, current=True).first()
        if row["draft"]:
            assert kept is None, row["id"]
            movement = statement.version.score.order
            answer = answer_for(statement, made.run(movement))
            found = (answer.flag, answer.cause or None)
        else:
            found = (kept.flag, kept.cause or None)
        expected = (row["expected"], row["expected_cause"])
        if found != expected:
            wrong.append(f"{row['id']}: expected {expected}, found {found}")
    assert not wrong, "\n".join(wrong)
    spread = Counter(row["expected"] for row in plan["observations"])
    assert min(spread[flag] for flag in ("agrees", "partly", "conflicts", "ear")) >= 5, spread
    assert spread["agrees"] >= 12


def desk_review_and_board_have_something(plan) -> None:
    assert set(Paper.objects.values_list("state", flat=True)) == set(Paper.State.values)
    assert Ruling.objects.filter(overrules=True).exists()
    assert Find.objects.filter(answered_at=None).exists()
    walk = Note.objects.filter(state=Note.State.PUBLISHED, order__gt=0)
    assert walk.count() >= 8
    assert Note.objects.filter(state=Note.State.PRIVATE).count() == 3
    for note in walk:
        assert note.lit, note.text
    assert not Paper.objects.filter(late=True).exists()


def test_cut_off_and_made_again(monkeypatch):
    """A call that stopped half-way is made good by the next one."""
    hand_in, calls = demo_course.papers.hand_in, []

    def third_time_fails(**values):
        calls.append(values)
        if len(calls) == 3:
            raise RuntimeError("the light went out")
        return hand_in(**values)

    monkeypatch.setattr(demo_course.papers, "hand_in", third_time_fails)
    with pytest.raises(RuntimeError):
        demo_course.make()
    made = demo_course.make()
    plan = demo_course.scenario()
    assert Observation.objects.count() == len(plan["observations"])
    drafts = [row for row in plan["observations"] if row["draft"]]
    assert Observation.objects.filter(state=Observation.State.DRAFT).count() == len(drafts)
    assert Check.objects.count() == len(plan["observations"]) - len(drafts)
    assert Ruling.objects.count() == sum("ruling" in row for row in plan["observations"])
    assert made.course.enrolments.count() == 12


def test_what_visitors_changed_stays(capsys):
    """Other titles, other words, a ruling more: the next call leaves them."""
    made = demo_course.make()
    made.course.title = "Thursday"
    made.course.save()
    note = Note.objects.order_by("pk").first()
    note.text = "Begin at the top."
    note.save()
    made.assignments["marcia"].title = "Once more"
    made.assignments["marcia"].save()
    made.course.enrolments.filter(user__username="kit").update(state="left")
    before = counts()
    demo_course.make()
    assert counts() == before
