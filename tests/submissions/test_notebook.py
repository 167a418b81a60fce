"""The notebook: own words across works, found again, taken along, kept when a course is over."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from courses.models import Enrolment, ScoreVersion
from submissions import notebook, notebook_export
from submissions.models import NotebookEntry, Observation
from submissions.services.finds import answer, send_find
from submissions.services.notebook import CHANGED_MEANWHILE, NO_WORDS, write_entry
from submissions.services.observations import take_back
from tests.cast import FREE, OCTAVE, Cast, Stage, enrol, handed_in, paper_of, ready_score, state

pytestmark = pytest.mark.django_db


def client_of(user: Any) -> Client:
    client = Client()
    client.force_login(user)
    return client


def page(user: Any, query: str = "") -> str:
    return str(client_of(user).get(reverse("notebook") + query).content.decode())


def entry(user: Any, text: str, about: str = "note", **more: Any) -> NotebookEntry:
    key = more.pop("key", text)
    return write_entry(owner=user, client_key=key[:64], text=text, about=about, **more)


def found(user: Any, query: str) -> set[str]:
    """Texts of entries and words of statements that are found."""
    return {e.text for e in notebook.entries_of(user, query)} | {
        s.words for s in notebook.statements_of(user, query)
    }


# --- what stands in it -----------------------------------------------------------------


def test_notes_habits_and_statements_of_all_works(cast: Cast, stage: Stage) -> None:
    paper = handed_in(stage, cast.student, OCTAVE, {**FREE, "words": "Dusk."}, check=False)
    taken = state(paper, stage.run, {**FREE, "words": "Not this."}, key="gone")
    take_back(observation=taken, student=cast.student)
    entry(cast.student, "The violas rest before the theme.", "habit", composer="Ottilie Brandvik")
    entry(cast.student, "Listen to this again.")
    entry(cast.fellow, "A fellow's own.")
    shown = page(cast.student)
    for words in ("Dusk.", "The flute goes with the violins.", "Ottilie Brandvik",
                  "The violas rest before the theme.", "Listen to this again.",
                  "A little serenade: I", "Bars 1–4"):  # fmt: skip
        assert words in shown, words
    assert "Not this." not in shown
    assert "A fellow's own." not in shown.replace("&#x27;", "'")


def test_no_flag_and_no_reply_stand_in_it(cast: Cast, stage: Stage) -> None:
    handed_in(stage, cast.student, OCTAVE)
    shown = page(cast.student)
    assert "The flute goes with the violins." in shown
    assert "flag" not in shown
    assert "agrees" not in shown


def test_it_outlasts_course_and_score(cast: Cast, stage: Stage) -> None:
    handed_in(stage, cast.student, OCTAVE, check=False)
    client = client_of(cast.student)
    client.post(reverse("notebook"), {"text": "Here!", "bars": "2-3", "client_key": "x",
                                      "file": str(stage.version.public_id)})  # fmt: skip
    Enrolment.objects.filter(user=cast.student).update(state=Enrolment.State.LEFT)
    type(stage.score).objects.update(taken_down_at="2026-01-01T00:00Z")
    assert client.get(reverse("paper", args=[stage.assignment.public_id])).status_code == 404
    shown = page(cast.student)
    assert "Here!" in shown
    assert "The flute goes with the violins." in shown
    assert "Bars 2-3" in shown
    made = NotebookEntry.objects.get()
    assert (made.score_label, made.bars_label) == ("A little serenade: I", "2-3")
    assert (made.first_bar, made.last_bar) == (1, 2)


# --- finding ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("query", "there"),
    [
        ("violas", {"Die Überleitung: violas alone."}),
        ("überLEITUNG", {"Die Überleitung: violas alone."}),
        ("alone violas", {"Die Überleitung: violas alone."}),
        ("violas trumpets", set()),
        ("brandvik", {"Ends on the third."}),
        ("serenade", {"The flute goes with the violins."}),
        ("doubling", {"The flute goes with the violins."}),
        ("50% (a|b)* [c", {"50% (a|b)* [c"}),
        ("%", {"50% (a|b)* [c"}),
        (".*", set()),
        ("\x00", {"Die Überleitung: violas alone.", "Ends on the third.", "50% (a|b)* [c",
                  "The flute goes with the violins."}),
    ],
)  # fmt: skip
def test_search_finds_words_and_no_patterns(
    cast: Cast, stage: Stage, query: str, there: set[str]
) -> None:
    handed_in(stage, cast.student, OCTAVE, check=False)
    entry(cast.student, "Die Überleitung: violas alone.")
    entry(cast.student, "Ends on the third.", "habit", composer="Ottilie Brandvik")
    entry(cast.student, "50% (a|b)* [c")
    entry(cast.fellow, "violas überleitung doubling serenade brandvik %")
    assert found(cast.student, query) == there
    shown = client_of(cast.student).get(reverse("notebook"), {"q": query})
    assert shown.status_code == 200
    if not there:
        assert "Nothing in your notebook has" in shown.content.decode()


def test_search_looks_in_one_list_if_asked(cast: Cast) -> None:
    entry(cast.student, "violas one")
    entry(cast.student, "violas two", "habit")
    shown = page(cast.student, "?list=habits&q=violas")
    assert "violas two" in shown
    assert "violas one" not in shown


def test_many_entries_have_leaves(cast: Cast) -> None:
    for n in range(45):
        entry(cast.student, f"note number {n:02}")
    first, second = page(cast.student, "?list=notes"), page(cast.student, "?list=notes&page=2")
    assert "note number 44" in first
    assert "note number 04" not in first
    assert "note number 04" in second
    assert "leaf 2 of 2" in second
    assert page(cast.student, "?list=notes&page=nonsense").count("note number") == 40


def test_the_page_asks_the_same_however_full_it_is(cast: Cast, stage: Stage) -> None:
    paper = paper_of(cast.student, stage.assignment)
    client = client_of(cast.student)

    def more(n: int) -> None:
        entry(cast.student, f"n{n}")
        entry(cast.student, f"h{n}", "habit", composer=f"C{n}")
        state(paper, stage.run, FREE, key=f"k{n}")

    def cost(url: str) -> int:
        client.get(url)
        with CaptureQueriesContext(connection) as seen:
            assert client.get(url).status_code == 200
        return len(seen)

    urls = [
        reverse("notebook"),
        reverse("notebook") + "?q=n",
        reverse("notebook-file", args=["md"]),
    ]
    more(0)
    few = [cost(url) for url in urls]
    for n in range(1, 9):
        more(n)
    assert [cost(url) for url in urls] == few
    assert max(few) <= 14


# --- writing ------------------------------------------------------------------------------


def test_the_same_key_twice_is_one_entry(cast: Cast) -> None:
    client = client_of(cast.student)
    for _press in range(2):
        client.post(reverse("notebook"), {"text": "Once.", "client_key": "k"})
    assert NotebookEntry.objects.get().text == "Once."
    client_of(cast.fellow).post(reverse("notebook"), {"text": "Theirs.", "client_key": "k"})
    assert NotebookEntry.objects.count() == 2


def test_bars_that_are_not_there_lose_nothing(cast: Cast, stage: Stage) -> None:
    typed = {"text": "Kept?", "bars": "99", "client_key": "k",
             "file": str(stage.version.public_id)}  # fmt: skip
    client = client_of(cast.student)
    answer = client.post(reverse("notebook"), typed)
    assert answer.status_code == 422
    assert "There is no bar 99" in answer.content.decode()
    assert "Kept?" in answer.content.decode()
    assert str(stage.version.public_id) in answer.content.decode()
    beside = client.post(reverse("notebook"), typed, headers={"HX-Request": "true"})
    assert beside.status_code == 200
    assert "There is no bar 99" in beside.content.decode()
    assert not NotebookEntry.objects.exists()
    assert NO_WORDS in client.post(reverse("notebook"), {"text": "  "}).content.decode()


def test_a_score_one_may_not_read_is_not_named(cast: Cast, stage: Stage) -> None:
    client_of(cast.stranger).post(
        reverse("notebook"),
        {"text": "Mine.", "bars": "2", "client_key": "k", "file": str(stage.version.public_id)},
    )
    made = NotebookEntry.objects.get()
    assert (made.version, made.score_label, made.bars_label) == (None, "", "2")


def test_a_change_in_another_window_is_not_overwritten(cast: Cast) -> None:
    made = entry(cast.student, "One.")
    client, url = client_of(cast.student), reverse("notebook-entry", args=[made.public_id])
    assert client.post(url, {"text": "Two.", "number": "1", "about": "habit"}).status_code == 302
    late = client.post(url, {"text": "Three.", "number": "1"})
    assert late.status_code == 422
    assert CHANGED_MEANWHILE in late.content.decode()
    assert "Three." in late.content.decode()
    made.refresh_from_db()
    assert (made.text, made.about, made.number) == ("Two.", "habit", 2)
    client.post(reverse("notebook-delete", args=[made.public_id]))
    assert not NotebookEntry.objects.exists()


def test_a_statement_becomes_a_thing_the_composer_does(cast: Cast, stage: Stage) -> None:
    type(stage.score.work).objects.update(composer="Ottilie Brandvik")
    handed_in(stage, cast.student, OCTAVE, check=False)
    own = Observation.objects.get()
    shown = page(cast.student, f"?from={own.public_id}")
    assert 'value="Ottilie Brandvik"' in shown
    assert 'value="habit" checked' in shown
    assert "The flute goes with the violins.</textarea>" in shown
    for user in (cast.fellow, cast.tutor):
        url = reverse("notebook") + f"?from={own.public_id}"
        assert client_of(user).get(url).status_code == 404


def test_a_note_beside_a_score_knows_its_composer(cast: Cast, stage: Stage) -> None:
    type(stage.score.work).objects.update(composer="Ottilie Brandvik")
    url = reverse("read-score", args=[stage.course.public_id, stage.score.public_id])
    assert 'id="notebook-form"' in client_of(cast.student).get(url).content.decode()
    client_of(cast.student).post(
        reverse("notebook"),
        {"text": "Ends softly.", "about": "habit", "client_key": "k",
         "file": str(stage.version.public_id)},
        headers={"HX-Request": "true"},
    )  # fmt: skip
    made = NotebookEntry.objects.get()
    assert (made.composer, made.about, made.bars_label) == ("Ottilie Brandvik", "habit", "")


# --- taking it along -------------------------------------------------------------------


def test_json_has_everything_and_nothing_of_others(cast: Cast, stage: Stage) -> None:
    handed_in(stage, cast.student, OCTAVE, check=False)
    entry(cast.student, "First.")
    entry(cast.student, "Second.", "habit", composer="Ottilie Brandvik", key="s")
    entry(cast.fellow, "Theirs.")
    answer = client_of(cast.student).get(reverse("notebook-file", args=["json"]))
    assert answer["Content-Disposition"].startswith("attachment;")
    book = json.loads(answer.content)
    assert book["schema"] == notebook_export.SCHEMA
    assert [n["text"] for n in book["notes"]] == ["First."]
    assert [(h["composer"], h["text"]) for h in book["habits"]] == [("Ottilie Brandvik", "Second.")]
    (said,) = book["statements"]
    assert (said["bars"], said["kind"], said["score"]) == (
        "1–4",
        "Doubling",
        "A little serenade: I",
    )
    assert said["words"] == "The flute goes with the violins."
    assert client_of(cast.student).get(reverse("notebook-file", args=["pdf"])).status_code == 404


def test_markdown_is_grouped_and_keeps_words_as_words(cast: Cast, stage: Stage) -> None:
    second, _run = ready_score(cast.tutor, "II")
    stage.course.scores.add(second.score)
    handed_in(stage, cast.student, OCTAVE, check=False)
    client = client_of(cast.student)
    for n, (text, file) in enumerate(
        [("# no *title*\n- no item", second), ("Plain.", stage.version)]
    ):
        client.post(reverse("notebook"), {"text": text, "bars": "3", "client_key": str(n),
                                          "file": str(file.public_id)})  # fmt: skip
    entry(cast.student, "Thins out.", "habit", composer="Ottilie Brandvik")
    text = client.get(reverse("notebook-file", args=["md"])).content.decode()
    heads = [line for line in text.splitlines() if line.startswith("#")]
    assert heads == [
        "# Notebook of Stella Student", "## Things composers do", "### Ottilie Brandvik",
        "## Notes", "### A little serenade: I", "### A little serenade: II",
        "## Statements", "### A little serenade: I",
    ]  # fmt: skip
    assert "- **Bar 3** Plain." in text
    assert "- **Bar 3** \\# no \\*title\\*  \n  - no item" in text
    assert "“The flute goes with the violins.”" in text


def test_a_notebook_belongs_to_whoever_writes_tutors_too(cast: Cast, stage: Stage) -> None:
    enrol(stage.other_course, cast.nobody)
    for user in (cast.tutor, cast.nobody, cast.admin):
        entry(user, f"Of {user}.")
        assert f"Of {user}." in page(user)
    assert ScoreVersion.objects.count() == 1


# --- finds -----------------------------------------------------------------------------


def test_own_finds_stand_in_it_without_the_answer(cast: Cast, stage: Stage) -> None:
    place = {"version": stage.version, "first_bar": 4, "last_bar": 7}
    for student, text in ((cast.student, "The horn has two notes."), (cast.fellow, "Not mine.")):
        send_find(course=stage.course, student=student, client_key=text, text=text, **place)
    (find,) = notebook.finds_of(cast.student)
    answer(find=find, author=cast.tutor, client_key="a", text="Open tones.")
    for query in ("", "?list=finds", "?q=horn", "?q=serenade"):
        shown = page(cast.student, query)
        assert "The horn has two notes." in shown
        assert "Bars 5–8" in shown
        assert reverse("find", args=[find.public_id]) in shown
        assert "Open tones." not in shown
        assert "Not mine." not in shown
    assert "The horn" not in page(cast.student, "?q=open+tones")
    book = notebook_export.whole(cast.student)
    assert [f["text"] for f in book["finds"]] == ["The horn has two notes."]
    assert "The horn has two notes" in notebook_export.as_markdown(cast.student, find.created_at)
