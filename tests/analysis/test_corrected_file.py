"""A corrected file: every page shows the file its places belong to, and what hangs on bars goes
over to the new file or is told lost."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.test import Client
from django.urls import reverse
from lxml import etree

from analysis.effective import effective_findings
from analysis.models import Overrule
from analysis.selectors import current_run, overrules_in_force
from analysis.services import overrules
from courses.models import Note, ScoreVersion
from courses.places import notes_in
from courses.services import library
from submissions.models import Check
from tests.browser.pieces import serenade
from tests.cast import Cast, Stage, confirm_everything, handed_in, note

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
Change = Callable[[Any], None]


def a_bar_more(root: Any) -> None:
    """An empty bar behind the first; all bars are counted anew."""
    for part in root.findall("part"):
        new = etree.fromstring(
            "<measure><note><rest measure='yes'/><duration>4</duration></note></measure>"
        )
        part.insert(1, new)
        renumber(part)


def the_fifth_taken_out(root: Any) -> None:
    for part in root.findall("part"):
        part.remove(part.findall("measure")[4])
        renumber(part)


def other_ids_and_order(root: Any) -> None:
    """The parts the other way round, P1 being the lowest."""
    listed = root.find("part-list")
    heads = listed.findall("score-part")
    bodies = root.findall("part")
    for n, (head, body) in enumerate(zip(reversed(heads), reversed(bodies), strict=True), 1):
        listed.append(head)
        root.append(body)
        for element in (head, body):
            element.set("id", f"P{n}")
        for element in head.iter("score-instrument", "midi-instrument"):
            element.set("id", f"P{n}-I1")


def the_horn_left_out(root: Any) -> None:
    root.find("part-list").remove(root.find("part-list").findall("score-part")[1])
    root.remove(root.findall("part")[1])


def nothing(root: Any) -> None:
    root.append(etree.Comment("written again"))


def renumber(part: Any) -> None:
    for number, bar in enumerate(part.findall("measure"), 1):
        bar.set("number", str(number))


def corrected(cast: Cast, stage: Stage, drain_jobs: Any, change: Change) -> ScoreVersion:
    root = etree.fromstring(serenade())
    change(root)
    file = ContentFile(etree.tostring(root), name="mended.musicxml")
    version = library.upload_version(score=stage.score, by=cast.tutor, file=file)
    drain_jobs()
    confirm_everything(version, cast.tutor)
    drain_jobs()
    version.refresh_from_db()
    assert version.state == ScoreVersion.State.READY, version.problem
    return version


def word(cast: Cast, stage: Stage, part: str, first: int, last: int) -> Overrule:
    return overrules.overrule(
        version=stage.version, by=cast.tutor, kind="playing", movement=0, first_bar=first,
        last_bar=last, parts=[{"part": part, "player": None}], says=Overrule.Says.OTHER,
        value={"kind": "playing", "mode": "play", "parts": [{"part": part, "player": None}]},
        reason="The cue is played.",
    )  # fmt: skip


def client_of(user: Any) -> Client:
    client = Client()
    client.force_login(user)
    return client


def shown(page: str) -> tuple[str, int]:
    """The file a page engraves and how many bars its outline has."""
    (file,) = set(re.findall(r"/files/([0-9a-f-]{36})/", page))
    outline = re.search(r'<script id="outline" type="application/json">(.*?)</script>', page, re.S)
    assert outline
    return file, len(json.loads(outline[1])["bars"])


def spans(version: ScoreVersion) -> dict[str, tuple[int, int] | None]:
    return {n.text: None if n.place_lost else (n.first_bar, n.last_bar) for n in notes_in(version)}


def test_every_page_shows_the_file_its_places_belong_to(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    note(stage, "STAYS", first_bar=2, last_bar=3)
    handed_in(stage, cast.student)
    check = Check.objects.get(current=True)
    new = corrected(cast, stage, drain_jobs, a_bar_more)
    old = (str(stage.version.public_id), 8)
    tutor, student = client_of(cast.tutor), client_of(cast.student)
    paper = student.get(reverse("paper", args=[stage.assignment.public_id])).content.decode()
    review = tutor.get(reverse("review", args=[stage.assignment.public_id])).content.decode()
    score = tutor.get(reverse("score", args=[stage.score.public_id])).content.decode()
    own = student.get(
        reverse("read-score", args=[stage.course.public_id, stage.score.public_id])
    ).content.decode()
    assert shown(paper) == shown(review) == old
    assert shown(score) == shown(own) == (str(new.public_id), 9)
    for page, bars in ((paper, (2, 3)), (own, (3, 4)), (score, (3, 4))):
        found = re.search(r'<script id="notes" type="application/json">(.*?)</script>', page, re.S)
        assert found
        (row,) = json.loads(found[1])
        assert (row["text"], row["first"], row["last"]) == ("STAYS", *bars)
    again = Check.objects.get(current=True)
    assert (again.pk, again.answer) == (check.pk, check.answer)


def test_the_former_file_can_be_read_as_before_and_by_nobody_else(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    new = corrected(cast, stage, drain_jobs, a_bar_more)
    for version in (stage.version, new):
        url = reverse("score-view", args=[version.public_id])
        for user in (cast.tutor, cast.student, cast.assistant):
            assert client_of(user).get(url).status_code == 200
        for user in (cast.stranger, cast.other_tutor, cast.guardian, cast.nobody):
            assert client_of(user).get(url).status_code == 404


def test_a_file_on_its_way_is_not_for_students_and_changes_no_page(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    note(stage, "STAYS")
    root = etree.fromstring(serenade())
    a_bar_more(root)
    file = ContentFile(etree.tostring(root), name="mended.musicxml")
    new = library.upload_version(score=stage.score, by=cast.tutor, file=file)
    drain_jobs()
    assert client_of(cast.student).get(
        reverse("score-view", args=[new.public_id])
    ).status_code == 404  # fmt: skip
    page = client_of(cast.tutor).get(reverse("score", args=[stage.score.public_id]))
    assert shown(page.content.decode()) == (str(stage.version.public_id), 8)
    assert b"STAYS" in page.content
    assert reverse("parts", args=[stage.score.public_id]).encode() in page.content


@pytest.mark.parametrize(
    ("change", "bars"),
    [
        (nothing, {"one": (0, 0), "fifth": (4, 4), "end": (5, 7)}),
        (a_bar_more, {"one": (0, 0), "fifth": (5, 5), "end": (6, 8)}),
        (the_fifth_taken_out, {"one": (0, 0), "fifth": None, "end": (4, 6)}),
        (other_ids_and_order, {"one": (0, 0), "fifth": (4, 4), "end": (5, 7)}),
    ],
)
def test_notes_go_over_or_are_lost_and_keep_their_place_in_the_former_file(
    cast: Cast, stage: Stage, drain_jobs: Any, change: Change, bars: dict[str, Any]
) -> None:
    note(stage, "one", first_bar=0, last_bar=0)
    note(stage, "fifth", first_bar=4, last_bar=4)
    note(stage, "end", first_bar=5, last_bar=7)
    before = spans(stage.version)
    new = corrected(cast, stage, drain_jobs, change)
    assert spans(new) == bars
    assert spans(stage.version) == before


def test_parts_lit_are_the_same_instruments_under_other_ids(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    note(stage, lit=[{"part": "P1", "player": None}], sounding=[{"part": "P3", "player": None}])
    new = corrected(cast, stage, drain_jobs, other_ids_and_order)
    labels = {p["id"]: p["label"] for p in new.canonical.outline["parts"]}
    (there,) = notes_in(new)
    assert [labels[p["part"]] for p in there.lit] == ["Flauto"]
    assert [labels[p["part"]] for p in there.sounding] == ["Violino I"]


def test_a_lost_note_is_told_and_its_bars_are_chosen_anew(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    lost = note(stage, "ORPHAN", first_bar=4, last_bar=4)
    new = corrected(cast, stage, drain_jobs, the_fifth_taken_out)
    tutor, student = client_of(cast.tutor), client_of(cast.student)
    score = reverse("score", args=[stage.score.public_id])
    own = reverse("read-score", args=[stage.course.public_id, stage.score.public_id])
    page = tutor.get(score).content.decode()
    assert "Place lost: bar 5 of file 1 is not in this one. Choose the bars anew." in page
    assert "ORPHAN" in page
    assert b"ORPHAN" not in student.get(own).content
    where = reverse("place-note", args=[lost.public_id])
    tutor.post(where, {"bars": "99", "file": str(new.public_id)})
    assert spans(new) == {"ORPHAN": None}
    tutor.post(where, {"bars": "6-7", "file": str(new.public_id)})
    assert spans(new) == {"ORPHAN": (5, 6)}
    assert spans(stage.version) == {"ORPHAN": (4, 4)}
    assert "Place lost" not in tutor.get(score).content.decode()
    assert b"ORPHAN" in student.get(own).content


def test_a_note_moved_or_written_on_the_new_file_stands_in_the_former_one_too(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    moved = note(stage, "moved", first_bar=2, last_bar=2)
    new = corrected(cast, stage, drain_jobs, a_bar_more)
    tutor = client_of(cast.tutor)
    form = {"course": str(stage.course.public_id), "file": str(new.public_id)}
    tutor.post(reverse("edit-note", args=[moved.public_id]), {**form, "bars": "5", "text": "moved"})
    url = reverse("write-note", args=[stage.score.public_id])
    tutor.post(url, {**form, "bars": "8-9", "text": "new"})
    tutor.post(url, {**form, "bars": "2", "text": "only here"})
    assert spans(new) == {"moved": (4, 4), "new": (7, 8), "only here": (1, 1)}
    assert spans(stage.version) == {"moved": (3, 3), "new": (6, 7), "only here": None}
    assert Note.objects.count() == 3


def test_a_page_made_before_the_new_file_still_means_the_former_bars(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    corrected(cast, stage, drain_jobs, a_bar_more)
    client_of(cast.tutor).post(
        reverse("write-note", args=[stage.score.public_id]),
        {"bars": "3", "text": "as seen", "file": str(stage.version.public_id)},
    )
    assert spans(stage.version) == {"as seen": (2, 2)}


def test_the_tutor_s_word_holds_in_both_files(cast: Cast, stage: Stage, drain_jobs: Any) -> None:
    said = word(cast, stage, "P2", 2, 3)
    new = corrected(cast, stage, drain_jobs, a_bar_more)
    (there,) = overrules_in_force(new)
    assert (there.pk, there.first_bar, there.last_bar) == (said.pk, 3, 4)
    run = current_run(new)
    assert run is not None
    mine = [f for f in effective_findings(run) if "cue is played" in str(f.sentence.params)]
    assert [(f.first, f.last) for f in mine] == [(3, 4)]
    later = overrules.overrule(
        version=new, by=cast.tutor, kind="playing", movement=0, first_bar=7, last_bar=7,
        parts=[], says=Overrule.Says.ABSENT, reason="A slip.",
    )  # fmt: skip
    assert [(o.pk, o.first_bar) for o in overrules_in_force(stage.version)] == [
        (said.pk, 2), (later.pk, 6),
    ]  # fmt: skip
    overrules.withdraw(row=said, by=cast.tutor)
    assert [o.pk for o in overrules_in_force(new)] == [later.pk]


def test_a_word_speaks_of_the_same_instrument_under_another_id(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    word(cast, stage, "P2", 2, 3)
    new = corrected(cast, stage, drain_jobs, other_ids_and_order)
    (there,) = overrules_in_force(new)
    labels = {p["id"]: p["label"] for p in new.canonical.outline["parts"]}
    assert [labels[p["part"]] for p in there.parts] == ["Corno in Mi♭"]
    assert there.value is not None
    assert there.value["parts"] == there.parts


def test_a_lost_word_is_told_and_set_anew(cast: Cast, stage: Stage, drain_jobs: Any) -> None:
    said = word(cast, stage, "P2", 4, 4)
    new = corrected(cast, stage, drain_jobs, the_fifth_taken_out)
    assert overrules_in_force(new) == []
    assert [o.pk for o in overrules_in_force(stage.version)] == [said.pk]
    tutor = client_of(cast.tutor)
    score = reverse("score", args=[stage.score.public_id])
    assert "Place lost: bar 5 of file 1" in tutor.get(score).content.decode()
    where = reverse("place-overrule", args=[said.public_id])
    tutor.post(where, {"bars": "6", "file": str(new.public_id)})
    assert [(o.pk, o.first_bar) for o in overrules_in_force(new)] == [(said.pk, 5)]


def test_a_word_on_a_part_that_is_gone_is_lost_and_cannot_be_set(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    said = word(cast, stage, "P2", 2, 2)
    new = corrected(cast, stage, drain_jobs, the_horn_left_out)
    assert overrules_in_force(new) == []
    page = client_of(cast.tutor).post(
        reverse("place-overrule", args=[said.public_id]),
        {"bars": "3", "file": str(new.public_id)}, follow=True,
    )  # fmt: skip
    assert "a part that the corrected file does not have" in page.content.decode()
    assert overrules_in_force(new) == []


def test_bars_asked_about_stay_covered_in_the_new_file(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    """Asked about are bars 1-4; a bar put among them makes it 1-5, and not 6."""
    new = corrected(cast, stage, drain_jobs, a_bar_more)
    for at in range(9):
        note(stage, f"bar {at + 1}", version=new, first_bar=at, last_bar=at, after_release=True)
    page = client_of(cast.student).get(
        reverse("read-score", args=[stage.course.public_id, stage.score.public_id])
    )
    found = re.search(
        r'<script id="notes" type="application/json">(.*?)</script>', page.content.decode(), re.S
    )
    assert found
    assert [row["text"] for row in json.loads(found[1])] == [f"bar {n}" for n in range(6, 10)]


def test_a_draft_keeps_its_file_until_another_is_chosen(
    cast: Cast, stage: Stage, drain_jobs: Any
) -> None:
    new = corrected(cast, stage, drain_jobs, a_bar_more)
    url = reverse("assignment", args=[stage.assignment.public_id])
    page = client_of(cast.tutor).get(url).content.decode()
    assert f'value="{stage.version.public_id}" selected' in page
    assert f'value="{new.public_id}">' in page
