"""The trust page: rulings against flags, what is behind each number, and when it says nothing."""

from __future__ import annotations

import itertools
import re
from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from analysis.engine.claims.readings import READINGS
from analysis.services import overrules
from submissions.causes import CAUSES
from submissions.models import Check, Flag, Observation
from submissions.services.rulings import rule
from submissions.trust import (
    ENOUGH,
    PAGE,
    Choice,
    Tally,
    corrected_findings,
    statements_behind,
    trust_of,
    wilson,
)
from tests.cast import (
    OCTAVE,
    UNISON,
    Cast,
    Stage,
    enrol,
    handed_in,
    latest,
    make_course,
    make_stage,
    person,
    publish,
    state,
)

pytestmark = pytest.mark.django_db
_n = itertools.count()
PLAYING = {"kind": "playing", "bars": "1-4", "words": "The flute plays.",
           "says": {"parts": "Flauto", "mode": "play"}}  # fmt: skip


def ruled(
    cast: Cast, stage: Stage, flag: str, ruling: str, *, kind: str = "doubling", cause: str = "",
    **more: Any,
) -> Observation:  # fmt: skip
    """A statement of a new student with this flag, ruled so; no worker is asked."""
    user = person(f"Pupil {next(_n)}")
    enrol(stage.course, user)
    said = OCTAVE if kind == "doubling" else PLAYING
    paper = handed_in(stage, user, said, check=False)
    observation: Observation = paper.observations.get()
    Check.objects.create(
        observation_version=latest(observation), run=stage.run, checker_version="t",
        settings_hash="t", overrule_revision="", flag=flag, cause=cause,
        answer={"evidence": []}, sentences={},
    )  # fmt: skip
    more.setdefault("reply", "Yes, look.")
    rule(statement=latest(observation), by=cast.tutor, flag=ruling, **more)
    return observation


def page(cast: Cast, query: str = "", user: Any = None) -> str:
    client = Client()
    client.force_login(user or cast.tutor)
    answer = client.get(reverse("trust") + query)
    assert answer.status_code == 200
    return answer.content.decode()


def plain(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


# --- the counting -------------------------------------------------------------------------


def test_confirmed_overturned_and_left_to_the_ear(cast: Cast, stage: Stage) -> None:
    ruled(cast, stage, "agrees", "agrees")
    ruled(cast, stage, "agrees", "agrees")
    ruled(cast, stage, "conflicts", "agrees", cause="untransposed")
    ruled(cast, stage, "conflicts", "ear", kind="playing")
    ruled(cast, stage, "ear", "partly", kind="playing")
    trust = trust_of(cast.tutor)
    assert (trust.all.total, trust.all.decided, trust.all.confirmed) == (5, 4, 2)
    assert (trust.all.overturned, trust.all.ear) == (2, 1)
    kinds = {t.name: (t.confirmed, t.overturned, t.ear) for t in trust.kinds}
    assert kinds == {"doubling": (2, 1, 0), "playing": (0, 1, 1)}
    causes = {t.name: (t.confirmed, t.overturned, t.ear) for t in trust.causes}
    assert causes == {"untransposed": (0, 1, 0), "": (2, 1, 1)}
    flags = {t.name: {c["ruling"]: c["n"] for c in t.cells if c["n"]} for t in trust.flags}
    assert flags == {
        "agrees": {"agrees": 2}, "conflicts": {"agrees": 1, "ear": 1}, "ear": {"partly": 1},
    }  # fmt: skip
    assert [t.name for t in trust.overturned_most] == ["playing", "doubling"]


def test_what_says_nothing_of_a_flag_is_not_counted(cast: Cast, stage: Stage) -> None:
    """Not ruled, ruled without a flag, not compared, an older word, an older version."""
    handed_in(stage, cast.student)  # not ruled
    early = handed_in(stage, cast.fellow, check=False)
    rule(statement=latest(early.observations.get()), by=cast.tutor, flag="agrees")
    ruled(cast, stage, "ear", "agrees", cause="left-alone")
    changed = ruled(cast, stage, "agrees", "partly")
    rule(statement=latest(changed), by=cast.tutor, flag="agrees")
    assert trust_of(cast.tutor).all.ruled == {"agrees>agrees": 1}
    state(changed.paper, stage.run, UNISON, key="k1", if_match=1)
    assert trust_of(cast.tutor).all.total == 0


def test_each_course_by_itself_and_all_of_the_tutor_s(cast: Cast, stage: Stage) -> None:
    ruled(cast, stage, "agrees", "agrees")
    other = make_course(cast.tutor, title="Afternoons")
    made = publish(other, stage.version, "Second")
    there = Stage(other, stage.other_course, stage.version, stage.run, made,
                  str(made.current.prompts.get().key))  # type: ignore[union-attr]  # fmt: skip
    ruled(cast, there, "partly", "agrees")
    assert trust_of(cast.tutor).all.total == 2
    assert trust_of(cast.tutor, stage.course).all.overturned == 0
    assert trust_of(cast.tutor, other).all.overturned == 1
    assert trust_of(cast.other_tutor).all.total == 0
    shown = page(cast, f"?course={other.public_id}")
    assert "1 of 1 overturned" in plain(shown)
    client = Client()
    client.force_login(cast.other_tutor)
    assert client.get(f"{reverse('trust')}?course={other.public_id}").status_code == 404
    client.force_login(cast.tutor)
    assert client.get(f"{reverse('trust')}?course=nonsense").status_code == 404


# --- honest words --------------------------------------------------------------------------


def test_the_interval_is_wilson_s() -> None:
    """Against values worked out by hand from the formula: 8 of 10, 1 of 1, 0 of 20."""
    for (hits, n), (low, high) in {
        (8, 10): (0.4902, 0.9433), (1, 1): (0.2065, 1.0), (0, 20): (0.0, 0.1611),
    }.items():  # fmt: skip
        assert wilson(hits, n) == pytest.approx((low, high), abs=1e-4)
    assert wilson(0, 0) == (0, 1)


@pytest.mark.parametrize(("n", "few"), [(ENOUGH - 1, True), (ENOUGH, False)])
def test_few_rulings_say_little_and_the_page_says_so(
    cast: Cast, stage: Stage, n: int, few: bool
) -> None:
    for _k in range(n - 1):
        ruled(cast, stage, "agrees", "agrees")
    ruled(cast, stage, "conflicts", "agrees")
    ruled(cast, stage, "ear", "agrees")  # decides nothing, so it does not help
    shown = plain(page(cast))
    said = f"You confirmed {n - 1} of {n} decided flags"
    assert said in shown
    assert ("too few to say how far they can be trusted" in shown) is few
    assert ("95 % interval" in shown) is not few
    assert ("too few to say" in shown) is few
    assert ("90 in a hundred" in shown) is not few


def test_nothing_ruled_yet(cast: Cast, stage: Stage) -> None:
    assert "You have not ruled on any flag yet" in page(cast)


def test_bounds_are_never_narrower_than_the_interval() -> None:
    tally = Tally("x", "x")
    tally.count("agrees", "agrees", 8)
    tally.count("agrees", "partly", 2)
    assert (tally.share, tally.bounds) == (80, (49, 95))


# --- what is behind a number, and why ---------------------------------------------------------


def test_every_number_leads_to_its_statements(cast: Cast, stage: Stage) -> None:
    ruled(cast, stage, "agrees", "agrees")
    ruled(cast, stage, "partly", "partly", cause="bar-offset")
    ruled(cast, stage, "conflicts", "agrees", cause="untransposed", reason="Horn in E flat alto.")
    ruled(cast, stage, "conflicts", "conflicts", kind="playing")
    ruled(cast, stage, "ear", "agrees", kind="playing")
    shown = page(cast)
    links = re.findall(r'href="(\?[^"#]+)#statements">(\d+)</a>', shown)
    assert len(links) > 10
    for query, number in links:
        behind = page(cast, unescape(query))
        assert f"({number})" in behind, (query, number)
        assert behind.count('class="list behind"') == 1
        assert len(re.findall(r"\?statement=", behind)) == int(number)


def test_the_tutor_sees_why(cast: Cast, stage: Stage) -> None:
    wrong = ruled(cast, stage, "conflicts", "agrees", cause="untransposed",
                  reason="Horn in E flat alto.", reply="You are right.")  # fmt: skip
    ruled(cast, stage, "partly", "agrees", reply="Fully, I think.")
    shown = page(cast)
    assert "Why, in your words: Horn in E flat alto." in plain(shown)
    assert "Your reply: Fully, I think." in plain(shown)
    assert f"?statement={wrong.public_id}" in shown
    assert "Misreading named: read untransposed." in plain(shown)
    overrules.overrule(
        version=stage.version, by=cast.tutor, kind="doubling", movement=0, first_bar=0,
        last_bar=3, parts=[{"part": "P1", "player": None}], says="absent", reason="An echo only.",
        overruled={"kind": "doubling"},
    )  # fmt: skip
    (found,) = corrected_findings(cast.tutor)
    assert (found["label"], found["n"], found["words"][0]["bars"]) == ("Doubling", 1, "1–4")
    assert "“An echo only.”" in page(cast)
    assert corrected_findings(cast.other_tutor) == []
    assert corrected_findings(cast.tutor, stage.course) == [found]
    assert corrected_findings(cast.tutor, make_course(cast.tutor, title="Without it")) == []


def test_the_reason_of_a_ruling_is_asked_for_and_kept(cast: Cast, stage: Stage) -> None:
    observation = handed_in(stage, cast.student).observations.get()
    client = Client()
    client.force_login(cast.tutor)
    review = client.get(reverse("review", args=[stage.assignment.public_id])).content.decode()
    assert 'name="reason"' in review
    assert reverse("trust") in review
    client.post(
        reverse("rule", args=[observation.public_id]),
        {"flag": "partly", "reply": "Nearly.", "reason": "They part at the end."},
    )
    assert "They part at the end." in page(cast)


def test_a_long_list_is_cut_into_pages(cast: Cast, stage: Stage) -> None:
    for _k in range(PAGE + 2):
        ruled(cast, stage, "partly", "agrees")
    one = statements_behind(cast.tutor, Choice(ruled="overturned"))
    two = statements_behind(cast.tutor, Choice(ruled="overturned"), 2)
    assert (one["total"], one["pages"], len(one["rows"])) == (PAGE + 2, 2, PAGE)
    assert len(two["rows"]) == 2
    first = {row["ruling"].pk for row in one["rows"]}
    assert not first & {row["ruling"].pk for row in two["rows"]}
    assert "page=2#statements" in page(cast)
    assert len(re.findall(r"\?statement=", page(cast, "?page=2"))) == 2
    assert len(re.findall(r"\?statement=", page(cast, "?page=999"))) == 2


def test_whatever_stands_in_the_address_is_no_error(cast: Cast, stage: Stage) -> None:
    ruled(cast, stage, "agrees", "agrees")
    for query in ("?kind=opera", "?flag=x&ruled=y", "?page=-1", "?page=x", "?cause=no-such",
                  "?cause="):  # fmt: skip
        assert page(cast, query)


def test_every_cause_the_checker_names_has_words() -> None:
    assert {reading.code for reading in READINGS} <= set(CAUSES)


def test_a_student_of_the_course_finds_no_such_page(cast: Cast, stage: Stage) -> None:
    client = Client()
    client.force_login(cast.student)
    assert client.get(reverse("trust")).status_code == 404


def test_flags_in_the_head_of_the_table_are_all_there(cast: Cast) -> None:
    stage = make_stage(cast)
    ruled(cast, stage, "agrees", "agrees")
    shown = page(cast)
    for flag in Flag:
        assert f"flag-{flag.value}" in shown
